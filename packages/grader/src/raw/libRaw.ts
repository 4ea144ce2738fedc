import { DEFAULT_LIMITS, type DecodeLimits } from "../decode/decodeLimits.ts";
import { tookTooLong, tooLarge } from "../decode/tooMuch.ts";
import { GraderError } from "../errors.ts";
import type { SensorSamples } from "./gatherCells.ts";
import { type FileBytes, handedOver } from "./readBytes.ts";
import { WorkerDied, WorkerPool } from "./workerPool.ts";

/** What the grader uses of LibRaw's metadata, as LibRaw gives it. Absent numbers are 0. */
export interface LibRawMetadata {
  readonly make: string;
  readonly model: string;
  readonly iso: number;
  readonly shutterSeconds: number;
  readonly aperture: number;
  readonly focalLengthMillimetres: number;
  /** Camera time, counted as if it were UTC. */
  readonly timestampSeconds: number;
  /** Orientation in LibRaw's bits: 1 mirrors columns, 2 mirrors rows, 4 exchanges rows and columns. */
  readonly flip: number;
  readonly rawWidth: number;
  readonly rawHeight: number;
  readonly topMargin: number;
  readonly leftMargin: number;
  /** Filter word: 0 none, 9 X-Trans, otherwise two bits a site. */
  readonly filters: number;
  readonly colours: number;
  readonly colourNames: string;
  readonly foveon: boolean;
  readonly black: number;
  /** Black once the sensor is unpacked, which for some makers is when LibRaw learns it. */
  readonly unpackedBlack: number;
  readonly white: number;
  readonly dngWhite: readonly number[];
  readonly asShotMultipliers: readonly number[];
  readonly daylightMultipliers: readonly number[];
  readonly srgbFromCamera: readonly (readonly number[])[];
  /** Black of red, green, blue and second green. */
  readonly canonBlack: readonly number[] | null;
  readonly canonWhite: number;
  readonly crop: { cleft: number; ctop: number; cwidth: number; cheight: number } | null;
}

/**
 * The sensor as LibRaw unpacked it: the whole of it, or the visible part of a demosaiced picture. The samples lie in
 * LibRaw's own memory, and are there only while the answer is used.
 */
export interface LibRawSensor extends SensorSamples {
  /** Positions of the visible part, as stored. */
  readonly visibleWidth: number;
  readonly visibleHeight: number;
}

/** LibRaw's answer, and how far it came. */
export interface LibRawAnswer {
  /** `open` and `unpack` name the step that failed; `empty`: too few bytes for a picture; `too-large`: too many samples. */
  readonly stage: "done" | "open" | "unpack" | "empty" | "too-large";
  readonly metadata: LibRawMetadata | null;
  readonly sensor: LibRawSensor | null;
  /** Colours of a 6 x 6 mosaic from the visible corner; null for any other. */
  readonly mosaic: readonly number[] | null;
  /** The memory that the file was in; free to be used where that was its own. */
  readonly spare: ArrayBufferLike;
}

// Workers are loaded by Node itself, so their script is JavaScript in the source folder, which is published too.
const pool = new WorkerPool(new URL("../../src/raw/libRawWorker.mjs", import.meta.url));

/**
 * Reads a raw file with LibRaw in a worker thread.
 *
 * @param file - the whole file; its bytes are handed over, and empty afterwards, when they are its own
 * @param options.pixels - whether to unpack the sensor, or read metadata alone
 * @param options.limits - most samples, and the time it may take
 * @param use - makes what is wanted of the answer, before LibRaw reads its next file
 * @throws {@link GraderError} `decode-failed` when LibRaw crashed, `took-too-long`, `too-large`; what `use` throws
 */
export async function libRaw<T>(
  file: FileBytes,
  { pixels, limits }: { readonly pixels: boolean; readonly limits?: DecodeLimits },
  use: (answer: LibRawAnswer) => T,
): Promise<T> {
  const { timeLimitSeconds, maxMegapixels } = { ...DEFAULT_LIMITS, ...limits };
  try {
    return await pool.run(
      { bytes: file.bytes, pixels, mostSamples: 1e6 * maxMegapixels },
      { timeLimitSeconds, transfer: handedOver(file) },
      (value) => {
        const answer = value as LibRawAnswer;
        if (answer.stage === "too-large") throw tooLarge(maxMegapixels);
        return use(answer);
      },
    );
  } catch (cause) {
    if (!(cause instanceof WorkerDied)) throw cause;
    if (cause.overtime) throw tookTooLong(timeLimitSeconds, cause);
    throw new GraderError(
      "decode-failed",
      `The raw file could not be decoded: ${cause.message}; it may be damaged, copy it again from the card`,
      { cause },
    );
  }
}
