import type { ExposureRecord, Field } from "@tonefall/exif-reader";
import { GraderError } from "../../model/errors.ts";
import type { DecodeLimits } from "../decodeLimits.ts";
import { RAW_FORMATS } from "./rawFormats.ts";
import { type RawMetadata, readRawMetadata } from "./readRawMetadata.ts";

/**
 * A raw file's record, with what Exif lacks filled in from LibRaw.
 *
 * LibRaw reads the file only where Exif has neither aperture nor time nor ISO; its values name LibRaw as their source.
 * What the file records and Exif cannot use stays unknown: LibRaw makes f/1 and one second of an APEX value of 0.
 *
 * @param record - from the Exif reader
 * @param source - the same file
 * @param limits - the time it may take
 */
export async function completeFromRaw(
  record: ExposureRecord,
  source: string | URL | Uint8Array,
  limits: DecodeLimits,
): Promise<ExposureRecord> {
  const { aperture, shutter, iso } = record;
  const bare = aperture.value === null && shutter.value === null && iso.value === null;
  if (!bare || !RAW_FORMATS.has(record.format)) return record;
  const metadata = await readOrNull(source, limits);
  return metadata ? completed(record, metadata) : record;
}

async function readOrNull(
  source: string | URL | Uint8Array,
  limits: DecodeLimits,
): Promise<RawMetadata | null> {
  try {
    return await readRawMetadata(source, limits);
  } catch (error) {
    // What LibRaw cannot open leaves the record as it is; grading will say why.
    if (error instanceof GraderError) return null;
    throw error;
  }
}

function completed(record: ExposureRecord, metadata: RawMetadata): ExposureRecord {
  const fill = <T>(field: Field<T>, value: T | null, name: string): Field<T> =>
    "reason" in field && field.reason === "absent" && value !== null
      ? { value, from: `LibRaw ${name}` }
      : field;
  return {
    ...record,
    aperture: fill(record.aperture, metadata.aperture, "aperture"),
    shutter: fill(record.shutter, metadata.shutterSeconds, "shutter"),
    iso: fill(record.iso, metadata.iso, "iso_speed"),
    focalLength: fill(record.focalLength, metadata.focalLengthMillimetres, "focal_len"),
    orientation: fill(record.orientation, metadata.orientation, "flip"),
    make: fill(record.make, metadata.make, "make"),
    model: fill(record.model, metadata.model, "model"),
    capturedAt: fill(record.capturedAt, metadata.capturedAt, "timestamp"),
    notes: record.notes.filter(
      ({ code }) => code !== "metadata-not-read" && code !== "no-metadata",
    ),
  };
}
