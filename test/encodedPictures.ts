import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Sharp } from "sharp";
import { heifEnc } from "./outside.mjs";
import { METERED_EXIF, picture } from "./pictures.ts";

/** Codes of the step wedge from left to right, out of 255: black to white, middle grey at 118. */
export const STEP_CODES = [20, 60, 90, 118, 158, 200, 230, 250] as const;

/** Sides of the step wedge, pixels; each step is as wide as the others. */
export const WEDGE = { width: 256, height: 128 } as const;

const STEP_WIDTH = WEDGE.width / STEP_CODES.length;

/** A grey step wedge, to be encoded. */
export function stepWedge(): Sharp {
  return picture(WEDGE.width, WEDGE.height, (x) => {
    const code = STEP_CODES[Math.floor(x / STEP_WIDTH)] as number;
    return [code, code, code];
  });
}

/** The inner part of a step as a region: encoders smear edges. */
export function stepRegion(step: number): string {
  const share = 1 / STEP_CODES.length;
  return `box:${(step + 0.25) * share},0.1,${share / 2},0.8`;
}

/** How the step wedge is encoded as HEIC, by the fixture's name in reference/heic. */
export const HEIC_KINDS = {
  "420": { input: "png", arguments: ["-q", "90"], bits: 8 },
  "10-bit": { input: "png16", arguments: ["-q", "90", "-b", "10"], bits: 10 },
  "rgb-lossless": {
    input: "png",
    arguments: ["-L", "-p", "chroma=444", "--matrix_coefficients=0"],
    bits: 8,
  },
  "exif-and-profile": { input: "jpeg", arguments: ["-q", "95"], bits: 8 },
} as const;

export type HeicKind = keyof typeof HEIC_KINDS;

/** The step wedge in HEIC as it is kept in reference/heic, for machines without an encoder. */
export function keptHeic(kind: HeicKind): Buffer {
  return readFileSync(heicFixture(kind));
}

/** Where {@link keptHeic} keeps a kind. */
export function heicFixture(kind: HeicKind): URL {
  return new URL(`./reference/heic/${kind}.heic`, import.meta.url);
}

/** The step wedge in HEIC, encoded now by libheif's heif-enc, which must be there. */
export async function encodedHeic(kind: HeicKind): Promise<Buffer> {
  const { input, arguments: options } = HEIC_KINDS[kind];
  const folder = mkdtempSync(join(tmpdir(), "tonefall heic "));
  try {
    const { name, encode } = INPUTS[input];
    const [from, to] = [join(folder, name), join(folder, "wedge.heic")];
    await encode(stepWedge()).toFile(from);
    execFileSync(heifEnc.path as string, [...options, from, "-o", to], { stdio: "ignore" });
    return readFileSync(to);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** What heif-enc is given: it takes pixels, Exif and profile from a PNG or a JPEG. */
const INPUTS = {
  png: { name: "wedge.png", encode: (wedge: Sharp): Sharp => wedge.png() },
  png16: { name: "wedge.png", encode: (wedge: Sharp): Sharp => wedge.toColourspace("rgb16").png() },
  jpeg: {
    name: "wedge.jpg",
    encode: (wedge: Sharp): Sharp =>
      wedge
        .withExif(METERED_EXIF)
        .withIccProfile("p3")
        .jpeg({ quality: 100, chromaSubsampling: "4:4:4" }),
  },
};
