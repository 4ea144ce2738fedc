import {
  D65_XY,
  gammaTransfer,
  LINEAR,
  LUMINANCE_ROWS,
  PRIMARIES,
  type RgbSpaceName,
  SRGB,
  type TransferFunction,
  toSrgbFromPrimaries,
} from "@tonefall/tone-core";
import { GraderError } from "../../model/errors.ts";
import { type CodeMeaning, meaning } from "./codeMeaning.ts";

/** Coding-independent code points, as HEIF, AVIF and PNG carry them [H.273]. */
export interface CodePoints {
  /** ColourPrimaries, H.273 table 2. */
  readonly primaries: number;
  /** TransferCharacteristics, H.273 table 3. */
  readonly transfer: number;
}

const UNSPECIFIED = 2;

const SPACES: ReadonlyMap<number, { name: string; space: RgbSpaceName }> = new Map([
  [1, { name: "BT.709 primaries", space: "srgb" }],
  [9, { name: "BT.2020 primaries", space: "rec2020" }],
  [12, { name: "P3 D65 primaries", space: "displayP3" }],
]);

/**
 * Curves by transfer characteristics. The video curves (1, 6, 14, 15) describe a camera, not a display; still pictures
 * so marked are shown with the sRGB curve, common practice of image viewers, no source.
 */
const TRANSFERS: ReadonlyMap<number, { name: string; curve: TransferFunction }> = new Map([
  ...[1, 6, 13, 14, 15].map((code) => [code, { name: "sRGB curve", curve: SRGB }] as const),
  [4, { name: "gamma 2.2", curve: gammaTransfer(2.2) }],
  [5, { name: "gamma 2.8", curve: gammaTransfer(2.8) }],
  [8, { name: "linear light", curve: LINEAR }],
]);

/**
 * What code points say of a picture, or null where they leave it unspecified.
 *
 * @throws {@link GraderError} `unsupported-colour` for high dynamic range curves (PQ, HLG) and rare primaries: they have no
 *   display white to measure from
 */
export function codePointsMeaning(points: CodePoints, channels: 1 | 3): CodeMeaning | null {
  const { primaries, transfer } = points;
  if (primaries === UNSPECIFIED && transfer === UNSPECIFIED) return null;
  const space = SPACES.get(primaries === UNSPECIFIED ? 1 : primaries);
  const tone = TRANSFERS.get(transfer === UNSPECIFIED ? 13 : transfer);
  if (!space || !tone) {
    throw new GraderError(
      "unsupported-colour",
      `The picture uses colour primaries ${primaries} and transfer ${transfer} (H.273), which Tonefall cannot turn into luminance; export it as sRGB`,
    );
  }
  const colour = { description: `${space.name}, ${tone.name}`, from: "cicp" } as const;
  const toSrgb = toSrgbFromPrimaries(PRIMARIES[space.space], D65_XY);
  return meaning(channels, tone.curve, LUMINANCE_ROWS[space.space], colour, toSrgb);
}
