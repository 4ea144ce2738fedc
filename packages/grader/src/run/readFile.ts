import {
  compareReadings,
  ExifError,
  type ExposureRecord,
  readExposure,
  type SecondReading,
  secondReading,
} from "@tonefall/exif-reader";
import { exposureOf } from "../judge/exposure/exposureOf.ts";
import { MADE_NOTE, madeFrameOf } from "../model/madeFrame.ts";
import type { ReadResult } from "../model/result.ts";
import type { DecodeLimits } from "../picture/decodeLimits.ts";
import { completeFromRaw } from "../picture/raw/completeFromRaw.ts";
import { RAW_FORMATS } from "../picture/raw/rawFormats.ts";
import { readStatedSensor } from "../picture/raw/readStatedSensor.ts";
import { openSource, type PictureFile, pathOf, type Source } from "../picture/source/openSource.ts";
import { openingFailure } from "./openingFailure.ts";

/** A file with its exposure record; null where it could not be read. */
export interface ReadFile {
  readonly file: PictureFile;
  readonly record: ExposureRecord;
}

/** What became of reading a file: the row, and what later stages need. */
export interface ReadOutcome {
  readonly result: ReadResult;
  readonly file: PictureFile | null;
  readonly record: ExposureRecord | null;
}

/** How an exposure record is read. */
export interface ReadOptions {
  /**
   * Whether exifr reads the file too, and the two are compared. The record stays as it is.
   * @default false
   */
  readonly secondReader?: boolean;
}

/**
 * Reads the exposure record of one file, without its pixels.
 *
 * Nothing about the file makes it throw: what cannot be read becomes a result with a `failure`.
 *
 * @param source - a path, a file URL or the bytes of a picture file
 * @param name - the name the result carries where the source is bytes; default `(bytes)`
 * @throws {@link GraderError} `bad-option` when the source is none of these
 *
 * @example
 * ```ts
 * (await readFrame("snow.jpg")).exposure?.aperture.value; // 8
 * ```
 */
export async function readFrame(
  source: Source,
  name?: string,
  { secondReader = false }: ReadOptions = {},
): Promise<ReadResult> {
  const { result, record } = await readFile(source, name);
  if (!record) return result;
  const isRaw = RAW_FORMATS.has(record.format);
  return {
    ...result,
    ...(isRaw ? { statedSensor: await readStatedSensor(source) } : {}),
    ...(secondReader ? { secondReading: compareReadings(record, await readAgain(source)) } : {}),
  };
}

/** A file that is gone since it was read has no answers. */
async function readAgain(source: Source): Promise<SecondReading> {
  try {
    return await secondReading(source);
  } catch (error) {
    if (error instanceof ExifError) return { reader: "exifr", answers: null };
    throw error;
  }
}

/** {@link readFrame}, with the opened file and the record for the stages that follow. */
export async function readFile(
  source: Source,
  name?: string,
  limits: DecodeLimits = {},
): Promise<ReadOutcome> {
  const blank = {
    file: sourceName(source, name),
    format: null,
    exposure: null,
    givenExposure: null,
    notes: [],
  };
  try {
    const file = await openSource(source);
    const record = await completeFromRaw(await readExposure(source), source, limits);
    const { exposure, givenExposure } = exposureOf(record);
    const result: ReadResult = {
      file: blank.file,
      format: record.format,
      exposure,
      givenExposure,
      notes: madeFrameOf(record) ? [...record.notes, MADE_NOTE] : record.notes,
      failure: null,
    };
    return { result, file, record };
  } catch (error) {
    return { result: { ...blank, failure: openingFailure(error) }, file: null, record: null };
  }
}

/** The name that a source's row carries: its path with forward slashes, or the one that bytes were given. */
export function sourceName(source: Source, name: string | undefined): string {
  if (source instanceof Uint8Array) return name ?? "(bytes)";
  return pathOf(source).replaceAll("\\", "/");
}
