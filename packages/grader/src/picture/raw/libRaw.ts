import { availableParallelism } from "node:os";
import { fileURLToPath } from "node:url";
import { GraderError } from "../../model/errors.ts";
import { DEFAULT_LIMITS, type DecodeLimits } from "../decodeLimits.ts";
import { PACKAGE_HOME } from "../packageHome.ts";
import { threadWorker } from "../pool/threadWorker.ts";
import { Asked, type Held, WorkerDied, WorkerPool } from "../pool/workerPool.ts";
import { cannotRead, fileTooLarge } from "../source/readBytes.ts";
import { tookTooLong, tooLarge } from "../tooMuch.ts";
import type { SensorSamples } from "./gatherCells.ts";

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
  /** White as LibRaw knows it: for some cameras it learns that only once the sensor is unpacked. */
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

/** A raw file that LibRaw has read. */
export interface OpenedRaw {
  /** The whole file, in LibRaw's own memory: there only while it is used. */
  readonly file: Uint8Array;
  /** Null when LibRaw cannot open it. */
  readonly metadata: LibRawMetadata | null;
}

/** LibRaw's answer, and how far it came. */
export interface UnpackedRaw {
  /** `unpack`: the step that failed; `empty`: too few bytes for a picture; `too-large`: too many samples. */
  readonly stage: "done" | "unpack" | "empty" | "too-large";
  readonly metadata: LibRawMetadata;
  readonly sensor: LibRawSensor | null;
  /** Colours of a 6 x 6 mosaic from the visible corner; null for any other. */
  readonly mosaic: readonly number[] | null;
  /** What LibRaw said of faults in the file, in its own words. */
  readonly remarks: readonly string[];
}

// Workers are loaded by Node itself, so their script is JavaScript in the source folder, which is published too. They
// report when they need replacing. Each waits while the frame in its memory is measured, so there is one more than unpack at
// a time where there are processors for it.
const pool = new WorkerPool(
  () => threadWorker(new URL("src/picture/raw/libRawWorker.mjs", PACKAGE_HOME)),
  { tasksPerWorker: Number.POSITIVE_INFINITY, workers: Math.min(3, availableParallelism()) },
);

/**
 * Reads a raw file with LibRaw in a worker thread.
 *
 * @param source - a path, a file URL, or bytes
 * @param options.pixels - whether the sensor is to be unpacked, by {@link unpackRaw}
 * @param options.limits - the time it may take, unpacking included
 * @param use - makes what is wanted of the file, or asks for its pixels, before LibRaw reads its next
 * @throws {@link GraderError} `cannot-read`, `too-large`, `decode-failed` when LibRaw crashed, `took-too-long`; what `use`
 *   throws
 */
export async function openRaw<T>(
  source: string | URL | Uint8Array,
  { pixels, limits }: { readonly pixels: boolean; readonly limits?: DecodeLimits },
  use: (opened: OpenedRaw) => T | Asked<T>,
): Promise<T> {
  const input = source instanceof URL ? fileURLToPath(source) : source;
  return askLibRaw({ open: { input, pixels } }, limits, (value) => {
    const { tooLong, unreadable, ...opened } = value as OpenAnswer;
    if (tooLong) throw fileTooLarge();
    if (unreadable) throw cannotRead(unreadable);
    return use(opened);
  });
}

async function askLibRaw<T>(
  request: unknown,
  limits: DecodeLimits | undefined,
  use: (value: unknown) => T | Asked<T>,
): Promise<T> {
  const { timeLimitSeconds } = { ...DEFAULT_LIMITS, ...limits };
  try {
    return await pool.run(request, { timeLimitSeconds }, use);
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

/** What the worker answers when it is asked to open a file. */
export interface OpenAnswer extends OpenedRaw {
  readonly tooLong: boolean;
  readonly unreadable: { readonly code: string } | null;
}

/**
 * Asks for the pixels of a file that was opened for them.
 *
 * @param limits - most samples
 * @throws {@link GraderError} `too-large`; what `use` throws
 */
export function unpackRaw<T>(
  limits: DecodeLimits,
  use: (unpacked: UnpackedRaw) => T | Held<T>,
): Asked<T> {
  const { maxMegapixels } = { ...DEFAULT_LIMITS, ...limits };
  return new Asked({ unpack: { mostSamples: 1e6 * maxMegapixels } }, (value) => {
    const unpacked = value as UnpackedRaw;
    if (unpacked.stage === "too-large") throw tooLarge(maxMegapixels);
    return use(unpacked);
  });
}

/** What the worker answers when it is asked to develop a file. */
export interface DevelopAnswer extends Pick<OpenAnswer, "tooLong" | "unreadable"> {
  /** As {@link UnpackedRaw} has it. */
  readonly stage: Exclude<UnpackedRaw["stage"], "empty">;
  /** Three colours at every position of the visible part, in the sensor's own codes. */
  readonly sensor: LibRawSensor | null;
  /** Where the visible part lies on the sensor, samples. */
  readonly left: number;
  readonly top: number;
}

/**
 * Has LibRaw interpolate the missing two colours at every position of a sensor (adaptive homogeneity-directed), and do
 * nothing else: codes, black and white stay the sensor's own. The samples are the caller's to keep.
 *
 * @param source - a path, a file URL, or bytes
 * @throws {@link GraderError} `cannot-read`, `too-large`, `decode-failed`, `took-too-long`
 */
export function developSensor(
  source: string | URL | Uint8Array,
  limits: DecodeLimits,
): Promise<DevelopAnswer & { readonly sensor: LibRawSensor }> {
  const input = source instanceof URL ? fileURLToPath(source) : source;
  const { maxMegapixels } = { ...DEFAULT_LIMITS, ...limits };
  const request = { develop: { input, mostSamples: 1e6 * maxMegapixels } };
  return askLibRaw(request, limits, (value) => {
    const answer = value as DevelopAnswer;
    if (answer.tooLong) throw fileTooLarge();
    if (answer.unreadable) throw cannotRead(answer.unreadable);
    if (answer.stage === "too-large") throw tooLarge(maxMegapixels);
    const { sensor } = answer;
    if (sensor) return { ...answer, sensor };
    throw new GraderError(
      "decode-failed",
      "The raw file's colours cannot be interpolated; it may be damaged, copy it again from the card",
    );
  });
}
