import { pngChunks } from "@tonefall/exif-reader";
import {
  gammaTransfer,
  LUMINANCE_ROWS,
  luminanceRowFromPrimaries,
  SRGB,
} from "@tonefall/tone-core";
import { type CodePoints, codePointsMeaning } from "./cicp.ts";
import { type CodeMeaning, meaning, srgb } from "./codeMeaning.ts";

/** Files that say gamma 1/2.2 nearly always mean sRGB; a stated gamma this near to it is read so. */
const SRGB_LIKE_GAMMA = { from: 0.44, to: 0.47 } as const;

/**
 * What a PNG without a usable profile says of its codes, by its `cICP`, `sRGB`, `gAMA` and `cHRM` chunks.
 *
 * @returns null where it says nothing
 * @see [PNG] PNG third edition, clause 4.3 (order of precedence) and 11.3.2
 */
export function pngColour({ chunks }: PngChunks, channels: 1 | 3): CodeMeaning | null {
  const cicp = chunks.get("cICP");
  if (cicp && cicp.byteLength >= 4) {
    const points: CodePoints = { primaries: cicp.getUint8(0), transfer: cicp.getUint8(1) };
    const said = codePointsMeaning(points, channels);
    if (said) return said;
  }
  if (chunks.has("sRGB"))
    return srgb(channels, { description: "sRGB, as the PNG says", from: "png" });

  const gama = chunks.get("gAMA");
  if (!gama || gama.byteLength < 4 || gama.getUint32(0) === 0) return null;
  const exponent = gama.getUint32(0) / 100_000;
  const likeSrgb = exponent >= SRGB_LIKE_GAMMA.from && exponent <= SRGB_LIKE_GAMMA.to;
  const curve = likeSrgb ? SRGB : gammaTransfer(1 / exponent);
  return meaning(channels, curve, primariesRow(chunks.get("cHRM")), {
    description: `gamma 1/${(1 / exponent).toFixed(2)}${likeSrgb ? ", read as sRGB" : ""}, as the PNG says`,
    from: "png",
  });
}

function primariesRow(chrm: DataView | undefined): readonly number[] {
  if (!chrm || chrm.byteLength < 32) return LUMINANCE_ROWS.srgb;
  const xy = (index: number): [number, number] => [
    chrm.getUint32(index * 8) / 100_000,
    chrm.getUint32(index * 8 + 4) / 100_000,
  ];
  try {
    return luminanceRowFromPrimaries([xy(1), xy(2), xy(3)], xy(0));
  } catch {
    // Primaries that span no triangle say nothing.
    return LUMINANCE_ROWS.srgb;
  }
}

/** What a PNG says before its pixels. */
export interface PngChunks {
  /** Data of the intact chunks by type. */
  readonly chunks: ReadonlyMap<string, DataView>;
  /** Types of the chunks of colour that do not match their checksum, and are none of {@link PngChunks.chunks}. */
  readonly damaged: readonly string[];
}

/** Chunks that say how codes become light. */
const COLOUR_CHUNKS: ReadonlySet<string> = new Set(["cICP", "iCCP", "sRGB", "gAMA", "cHRM"]);

/**
 * Reads the chunks before the pixels, leaving out what is damaged.
 *
 * @param head - the file's first bytes, up to the pixels
 * @see [PNG] third edition, 13.1 (a damaged ancillary chunk may be ignored)
 */
export function readPngChunks(head: Uint8Array): PngChunks {
  const all = pngChunks(head);
  const intact = all.filter(({ isIntact }) => isIntact);
  return {
    chunks: new Map(intact.map(({ type, data }) => [type, viewOf(data)])),
    damaged: all
      .filter(({ type, isIntact }) => !isIntact && COLOUR_CHUNKS.has(type))
      .map(({ type }) => type),
  };
}

function viewOf({ buffer, byteOffset, byteLength }: Uint8Array): DataView {
  return new DataView(buffer, byteOffset, byteLength);
}
