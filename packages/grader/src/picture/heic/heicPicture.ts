import { GraderError } from "../../model/errors.ts";
import type { Note } from "../../model/note.ts";
import { tooLarge } from "../tooMuch.ts";

/** Colour of coded samples by code points [CICP]. */
export interface CodePoints {
  readonly primaries: number;
  readonly transfer: number;
  readonly matrix: number;
  readonly fullRange: boolean;
}

/** A decoded HEIC picture: upright RGB, encoded as the file has it. */
export interface HeicPicture {
  readonly width: number;
  readonly height: number;
  /** Samples to a pixel: 3 for RGB, 4 for RGBA. */
  readonly channels: 3 | 4;
  /** Interleaved; full scale is 255 in 8 bits and 65535 in 16, to which 10 and 12 bits are spread. */
  readonly samples: Uint8Array | Uint16Array;
  /** Bits of a sample in the file. */
  readonly bits: number;
  /** Embedded ICC profile. */
  readonly icc: Uint8Array | null;
  /** Colour by code points. */
  readonly nclx: CodePoints | null;
  /** The container's rotation and mirroring are in the samples; Exif orientation must not be applied again. */
  readonly orientationApplied: true;
  readonly notes: readonly Note[];
}

/** A picture as the worker decoded it. */
export interface DecodedHeif extends Omit<HeicPicture, "orientationApplied" | "notes"> {
  readonly gainMap: boolean;
}

/** What the worker answers: a picture, or libheif's error. */
export interface HeifAnswer {
  readonly picture: DecodedHeif | null;
  readonly error: {
    readonly code: number;
    readonly subcode: number;
    readonly message: string;
  } | null;
}

const GAIN_MAP_IGNORED: Note = {
  code: "gain-map-ignored",
  message:
    "The file has a gain map that brightens highlights on some displays; Tonefall left it out and measured the base picture.",
};

/** libheif's error numbers for an unsupported feature, and for data that end early. */
const UNSUPPORTED: ReadonlySet<number> = new Set([3, 4]);
const END_OF_DATA = 100;

/** The worker's own number, beside libheif's. */
const TOO_LARGE = -1;

/**
 * The picture in libheif's answer, or the failure that it stands for.
 *
 * @throws {@link GraderError} `unsupported-format`, `truncated`, `decode-failed` or `too-large`
 */
export function heicPicture({ picture, error }: HeifAnswer, maxMegapixels: number): HeicPicture {
  if (!picture) {
    if (error?.code === TOO_LARGE) throw tooLarge(maxMegapixels);
    const { code = 0, subcode = 0, message = "" } = error ?? {};
    if (UNSUPPORTED.has(code)) {
      throw new GraderError(
        "unsupported-format",
        `The HEIF file cannot be decoded (${message}); export it as JPEG or TIFF`,
      );
    }
    throw new GraderError(
      subcode === END_OF_DATA ? "truncated" : "decode-failed",
      `The HEIF file is damaged (${message || "no picture in it"}); copy it again from the phone`,
    );
  }
  const { gainMap, ...rest } = picture;
  return { ...rest, orientationApplied: true, notes: gainMap ? [GAIN_MAP_IGNORED] : [] };
}
