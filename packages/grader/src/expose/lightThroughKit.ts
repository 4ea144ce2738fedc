import type { ExposureRecord } from "@tonefall/exif-reader";
import { LUMINANCE_ROWS } from "@tonefall/tone-core";
import { exposureOf } from "../judge/exposure/exposureOf.ts";
import { chooseKit } from "../kit/chooseKit.ts";
import { frameInLight } from "../kit/frameInLight.ts";
import type { NamedKit } from "../kit/kit.ts";
import { GraderError } from "../model/errors.ts";
import type { Note } from "../model/note.ts";
import type { DecodeLimits } from "../picture/decodeLimits.ts";
import { decodePicture } from "../picture/decodePicture.ts";
import { type Frame, fullScaleOf } from "../picture/frame.ts";
import type { LinearChannel, LinearPicture } from "../picture/linearPicture.ts";
import type { PictureFile } from "../picture/source/openSource.ts";

const UNCHANGED = [1, 0, 0, 0, 1, 0, 0, 0, 1];

/**
 * A rendered picture as light, by the measured kit of its camera and style.
 *
 * @throws {@link GraderError} `not-linear` where the kit is another camera's, or has no curve; as the decoder
 */
export async function lightThroughKit(
  file: PictureFile,
  record: ExposureRecord,
  named: NamedKit,
  limits: DecodeLimits,
): Promise<{ readonly picture: LinearPicture; readonly notes: readonly Note[] }> {
  const { chosen, notes } = chooseKit([named], exposureOf(record).exposure);
  if (!chosen) {
    const [refused] = notes;
    throw new GraderError(
      "not-linear",
      `The light of the source cannot be measured. ${refused?.message ?? `The kit ${named.file} is another camera's.`}`,
    );
  }
  const decoded = await decodePicture(file, record, limits);
  const { frame, curve } = frameInLight(decoded, chosen.kit);
  if (!curve) {
    throw new GraderError(
      "not-linear",
      `The kit ${named.file} has no curve, so the light of the source cannot be measured; measure a bracket or pairs (tonefall kit --help)`,
    );
  }
  return { picture: pictureOf(decoded, frame), notes: [...decoded.notes, ...notes] };
}

function pictureOf(decoded: Frame, lit: Frame): LinearPicture {
  const { width, height, orientation, samples, stride, bits } = decoded;
  if (stride !== 1 && stride !== 3) {
    throw new GraderError(
      "not-linear",
      "The source has transparent pixels, whose light is not known; give the picture as the camera wrote it",
    );
  }
  const channels = [0, 1, 2].map((c): LinearChannel => {
    const channel = decoded.channels[stride === 1 ? 0 : c] as Frame["channels"][number];
    const share = channel.luminance[fullScaleOf(decoded, channel)] as number;
    const { luminance } = lit.channels[stride === 1 ? 0 : c] as Frame["channels"][number];
    const { clipCode, crushCode } = channel;
    return { light: luminance.map((light) => light / share), clipCode, crushCode };
  });
  const toSrgb = decoded.toSrgb
    ? [0, 1, 2].flatMap((row) =>
        (decoded.toSrgb as NonNullable<Frame["toSrgb"]>).map((of) => of[row] as number),
      )
    : UNCHANGED;
  return {
    ...{ width, height, orientation, samples, stride, bits, toSrgb },
    channels: channels as [LinearChannel, LinearChannel, LinearChannel],
    luminanceRow: [0, 1, 2].map((colour) =>
      LUMINANCE_ROWS.srgb.reduce(
        (sum, share, row) => sum + share * (toSrgb[3 * row + colour] as number),
        0,
      ),
    ),
    middleGrey: lit.middleGrey,
  };
}
