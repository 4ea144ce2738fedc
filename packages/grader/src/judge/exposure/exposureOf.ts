import type { ExposureFields, ExposureRecord, Field } from "@tonefall/exif-reader";
import { exactCompensation, exactSettings, givenExposure } from "@tonefall/tone-core";
import type { Exposure, ExposureField } from "../../model/result.ts";

/** An exposure record with the exact values of its marked settings, and what they let in. */
export interface ExactExposure {
  readonly exposure: Exposure;
  /** log2(t / N²) + log2(ISO / 100) of the exact settings, stops; null where one is missing. */
  readonly givenExposure: number | null;
}

/**
 * Adds exact settings to an exposure record.
 *
 * The recorded value stays; `exact` stands beside it where the marked lists give another (f/5.6 is 2^2.5, 1/60 is 1/64),
 * which they do only when aperture, time and ISO are all marks of one series.
 */
export function exposureOf(record: ExposureRecord): ExactExposure {
  const { format: _format, notes: _notes, ...fields } = record;
  const { aperture, shutter, iso, compensation }: ExposureFields = fields;
  const exact =
    aperture.value === null || shutter.value === null || iso.value === null
      ? null
      : exactSettings({
          aperture: aperture.value,
          shutterSeconds: shutter.value,
          iso: iso.value,
        });
  return {
    exposure: {
      ...fields,
      aperture: withExact(aperture, exact?.aperture ?? null),
      shutter: withExact(shutter, exact?.shutterSeconds ?? null),
      iso: withExact(iso, exact?.iso ?? null),
      compensation: withExact(
        compensation,
        compensation.value === null ? null : exactCompensation(compensation.value),
      ),
    },
    givenExposure: exact && givenExposure(exact),
  };
}

function withExact(field: Field<number>, exact: number | null): ExposureField<number> {
  return field.value === null || exact === null || exact === field.value
    ? field
    : { ...field, exact };
}
