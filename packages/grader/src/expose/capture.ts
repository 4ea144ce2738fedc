import { fileURLToPath } from "node:url";
import { type ExposureRecord, readExposure } from "@tonefall/exif-reader";
import { rasteriseRegion } from "@tonefall/tone-core";
import { exposureOf } from "../judge/exposure/exposureOf.ts";
import { tallyFrame } from "../judge/measure/tallyFrame.ts";
import type { NamedKit } from "../kit/kit.ts";
import { GraderError } from "../model/errors.ts";
import { madeFrameOf } from "../model/madeFrame.ts";
import type { Note } from "../model/note.ts";
import type { Exposure } from "../model/result.ts";
import { type DecodeLimits, givenLimits } from "../picture/decodeLimits.ts";
import { developPicture, isRaw } from "../picture/developPicture.ts";
import type { Frame } from "../picture/frame.ts";
import { frameOfLight, type LinearPicture } from "../picture/linearPicture.ts";
import { completeFromRaw } from "../picture/raw/completeFromRaw.ts";
import { openSource, type Source } from "../picture/source/openSource.ts";
import { lightThroughKit } from "./lightThroughKit.ts";

/** How a capture is opened. */
export interface CaptureOptions extends DecodeLimits {
  /**
   * Middle grey as a share of sensor saturation, of raw files.
   * @default 10/78, from saturation-based speed [ISO-12232]
   */
  readonly middleGrey?: number;
  /**
   * The measured kit that turns a rendered picture's codes back into light; raw files need none.
   * @default none
   */
  readonly kit?: NamedKit;
  /**
   * The name that the capture carries where the source is bytes.
   * @default "(bytes)"
   */
  readonly name?: string;
}

/** The light of one scene, decoded once, from which frames of any exposure are made. */
export interface Capture {
  /** The file's own name, without its folder; of a merged bracket the first and the last. */
  readonly name: string;
  /** Linear light, 3 colours a pixel. */
  readonly picture: LinearPicture;
  /** The same as a frame, for measuring and metering. */
  readonly frame: Frame;
  /** What the file records of the exposure. */
  readonly exposure: Exposure;
  /** Share of the pixels that have a clipped channel: there the light was at least this much. */
  readonly clippedShare: number;
  /** What a reader of its frames should know. */
  readonly notes: readonly Note[];
}

/**
 * Opens a capture: a raw file, or a rendered picture through a measured kit.
 *
 * @param source - a path, a file URL or the bytes of a picture file
 * @throws {@link GraderError} `not-linear` for a rendered picture without a kit, or for a made frame; what keeps the file
 *   from being decoded
 *
 * @example
 * ```ts
 * const capture = await openCapture("slip.dng");
 * const frame = await exposeFrame(capture, { asMetered: "spot", compensation: -2 });
 * ```
 */
export async function openCapture(source: Source, options: CaptureOptions = {}): Promise<Capture> {
  const file = await openSource(source);
  const limits = givenLimits(options);
  const record = await completeFromRaw(await readExposure(source), source, limits);
  const { exposure } = exposureOf(record);
  if (madeFrameOf(exposure)) {
    throw new GraderError(
      "not-linear",
      "The source is a frame that Tonefall made already; give the capture that it was made from",
    );
  }
  const { middleGrey } = options;
  const light = isRaw(record)
    ? await developPicture(file, record, {
        ...limits,
        ...(middleGrey === undefined ? {} : { middleGrey }),
      })
    : await lightThroughKit(file, record, requireKit(options.kit, record), limits);
  const name = ownName(source, options.name);
  return captureOf(light.picture, { name, exposure, notes: light.notes });
}

/** A capture from its light, with what is measured of it once. */
export function captureOf(
  picture: LinearPicture,
  rest: Pick<Capture, "name" | "exposure" | "notes">,
): Capture {
  const frame = frameOfLight(picture);
  const { clippedPixels, pixels } = tallyFrame(frame, rasteriseRegion({ shape: "whole" }, frame));
  return { ...rest, picture, frame, clippedShare: clippedPixels / pixels };
}

function requireKit(kit: NamedKit | undefined, { format }: ExposureRecord): NamedKit {
  if (kit) return kit;
  throw new GraderError(
    "not-linear",
    `The source is ${format.toUpperCase()}, rendered by an unknown curve, so its light is not known; give the raw file, or measure the camera (tonefall kit --help) and name its kit with --kit`,
  );
}

/** A source's name without its folder: a made frame tells it to whoever it is handed to. */
function ownName(source: Source, name = "(bytes)"): string {
  if (source instanceof Uint8Array) return name;
  const path = source instanceof URL ? fileURLToPath(source) : source;
  return path.replaceAll("\\", "/").split("/").at(-1) as string;
}
