import type { Exposure, ReadResult } from "../../model/result.ts";
import { type CsvCell, csvLine } from "./csv.ts";
import type { RowWriter } from "./rowWriter.ts";

/** Columns of the record, by field; what a field's value is made of is written as text. */
const FIELDS: readonly (readonly [string, keyof Exposure])[] = [
  ["aperture", "aperture"],
  ["shutter_seconds", "shutter"],
  ["iso", "iso"],
  ["compensation_stops", "compensation"],
  ["metering_pattern", "meteringPattern"],
  ["programme", "programme"],
  ["mode", "mode"],
  ["brightness_value", "brightnessValue"],
  ["flash_fired", "flashFired"],
  ["focal_length_mm", "focalLength"],
  ["focal_length_35mm_mm", "focalLength35mm"],
  ["orientation", "orientation"],
  ["colour_space", "colourSpace"],
  ["contrast", "contrast"],
  ["saturation", "saturation"],
  ["sharpness", "sharpness"],
  ["scene_type", "sceneType"],
  ["custom_rendered", "customRendered"],
  ["composite", "composite"],
  ["make", "make"],
  ["model", "model"],
  ["captured_at", "capturedAt"],
  ["software", "software"],
  ["location_present", "locationPresent"],
];

/** Exposure records as comma-separated values; units are in the headings. */
export function readCsv(): RowWriter<ReadResult> {
  return {
    head: csvLine([
      "file",
      "format",
      ...FIELDS.map(([title]) => title),
      "given_exposure_stops",
      "notes",
      "failure",
    ]),
    row: ({ file, format, exposure, givenExposure, notes, failure }) =>
      csvLine([
        file,
        format,
        ...FIELDS.map(([, field]) => cellOf(exposure?.[field].value ?? null)),
        givenExposure,
        notes.map(({ code }) => code).join(" "),
        failure?.code ?? null,
      ]),
    end: () => "",
  };
}

function cellOf(value: unknown): CsvCell {
  return value === null || typeof value === "object" ? null : (value as CsvCell);
}
