import { GraderError } from "../../model/errors.ts";
import type { Note } from "../../model/note.ts";
import { DEFAULT_LIMITS, type DecodeLimits } from "../decodeLimits.ts";
import { threadWorker } from "../pool/threadWorker.ts";
import { WorkerDied, WorkerPool } from "../pool/workerPool.ts";
import { readBytes } from "../source/readBytes.ts";
import { tookTooLong, tooLarge } from "../tooMuch.ts";

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

const pool = new WorkerPool(() =>
  threadWorker(new URL("../../../src/picture/heic/heifWorker.mjs", import.meta.url)),
);

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
 * Decodes HEIC and HEIF: phones' photographs in HEVC, which sharp does not read.
 *
 * Gain maps, which brighten highlights on some displays, are left out and noted: the base picture is what every viewer
 * shows.
 *
 * @param source - a path, a file URL, or bytes
 * @param limits - most pixels, and the time it may take
 * @throws {@link GraderError} `unsupported-format`, `truncated`, `decode-failed`, `cannot-read`, `too-large`,
 *   `took-too-long`
 */
export async function decodeHeic(
  source: string | URL | Uint8Array,
  limits: DecodeLimits = {},
): Promise<HeicPicture> {
  const { maxMegapixels, timeLimitSeconds } = { ...DEFAULT_LIMITS, ...limits };
  const { bytes, own } = await readBytes(source);
  const { picture, error } = await run(bytes, own, 1e6 * maxMegapixels, timeLimitSeconds);
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

async function run(
  bytes: Uint8Array<ArrayBuffer>,
  own: boolean,
  mostPixels: number,
  timeLimitSeconds: number,
): Promise<HeifAnswer> {
  try {
    const transfer = own ? [bytes.buffer] : [];
    return (await pool.run({ bytes, mostPixels }, { transfer, timeLimitSeconds })) as HeifAnswer;
  } catch (cause) {
    if (!(cause instanceof WorkerDied)) throw cause;
    if (cause.overtime) throw tookTooLong(timeLimitSeconds, cause);
    throw new GraderError(
      "decode-failed",
      `The HEIF file could not be decoded: ${cause.message}; it may be damaged, copy it again from the phone`,
      { cause },
    );
  }
}
