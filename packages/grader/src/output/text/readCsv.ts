import type { Exposure, ReadResult } from "../../model/result.ts";
import { COMPARED_SETTINGS, differingSettings } from "../../model/secondWords.ts";
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

/** Columns of what a second reader says; an empty `second_differs` says that it contradicts nothing. */
const SECOND = [
  ...FIELDS.filter(([, field]) => COMPARED_SETTINGS.some((setting) => setting === field)).map(
    ([title]) => `second_${title}`,
  ),
  "second_differs",
];

/**
 * Exposure records as comma-separated values; units are in the headings.
 *
 * @param secondReader - whether columns for a second reader's answers are added
 */
export function readCsv(secondReader = false): RowWriter<ReadResult> {
  return {
    head: csvLine([
      "file",
      "format",
      ...FIELDS.map(([title]) => title),
      "given_exposure_stops",
      "notes",
      "failure",
      ...(secondReader ? SECOND : []),
    ]),
    row: ({ file, format, exposure, givenExposure, notes, failure, secondReading }) =>
      csvLine([
        file,
        format,
        ...FIELDS.map(([, field]) => cellOf(exposure?.[field].value ?? null)),
        givenExposure,
        notes.map(({ code }) => code).join(" "),
        failure?.code ?? null,
        ...(secondReader ? secondCells(secondReading) : []),
      ]),
    end: () => "",
  };
}

function secondCells(comparison: ReadResult["secondReading"]): CsvCell[] {
  const values = COMPARED_SETTINGS.map((setting) => comparison?.fields?.[setting].value ?? null);
  return [...values, comparison?.fields ? differingSettings(comparison).join(" ") : null];
}

function cellOf(value: unknown): CsvCell {
  return value === null || typeof value === "object" ? null : (value as CsvCell);
}
