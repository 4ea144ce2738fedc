import type { Exposure, ReadResult } from "../../model/result.ts";
import { COMPARED_SETTINGS, differingSettings } from "../../model/secondWords.ts";
import { shutterText } from "../../model/words.ts";
import type { CsvCell } from "./csv.ts";
import {
  type CsvColumn,
  type CsvFlags,
  csvWriter,
  folderOf,
  nameOf,
  rounded,
} from "./csvColumns.ts";
import type { RowWriter } from "./rowWriter.ts";

/** Columns of the record, by field. */
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

const COLUMNS: readonly CsvColumn<ReadResult>[] = [
  ["file", ({ file }) => file],
  ["format", ({ format }) => format],
  ...FIELDS.map(
    ([title, field]): CsvColumn<ReadResult> => [
      title,
      ({ exposure }) => cellOf(exposure?.[field].value ?? null),
    ],
  ),
  ["given_exposure_stops", ({ givenExposure }) => givenExposure],
  ["notes", ({ notes }) => notes.map(({ code }) => code).join(" ")],
  ["failure", ({ failure }) => failure?.code ?? null],
];

/** Columns of what a second reader says; an empty `second_differs` says that it contradicts nothing. */
const SECOND: readonly CsvColumn<ReadResult>[] = [
  ...FIELDS.flatMap(([title, field]): CsvColumn<ReadResult>[] => {
    const setting = COMPARED_SETTINGS.find((name) => name === field);
    if (setting === undefined) return [];
    return [
      [`second_${title}`, ({ secondReading }) => secondReading?.fields?.[setting].value ?? null],
    ];
  }),
  [
    "second_differs",
    ({ secondReading }) =>
      secondReading?.fields ? differingSettings(secondReading).join(" ") : null,
  ],
];

/** Settings in the order in which people read them. */
const FOR_PEOPLE: readonly CsvColumn<ReadResult>[] = [
  ["folder", ({ file }) => folderOf(file)],
  ["frame", ({ file }) => nameOf(file)],
  ["aperture_f", ({ exposure }) => rounded(exposure?.aperture.value)],
  ["shutter", ({ exposure }) => timeText(exposure?.shutter.value ?? null)],
  ["iso_speed", ({ exposure }) => rounded(exposure?.iso.value)],
  ["compensation", ({ exposure }) => rounded(exposure?.compensation.value)],
  ["metering", ({ exposure }) => exposure?.meteringPattern.value ?? null],
  ["camera", ({ exposure }) => exposure?.model.value ?? null],
  ["taken", ({ exposure }) => exposure?.capturedAt.value ?? null],
  ["words", ({ failure }) => failure?.message ?? null],
];

function timeText(seconds: number | null): string | null {
  return seconds === null ? null : `${shutterText(seconds).replace(/ s$/, "")} s`;
}

/** How records are written as CSV. */
export interface ReadCsvFlags extends CsvFlags {
  /** Whether columns for a second reader's answers are added. */
  readonly secondReader?: boolean | undefined;
}

/** Exposure records as comma-separated values. */
export function readCsv({ secondReader, ...flags }: ReadCsvFlags): RowWriter<ReadResult> {
  const second = secondReader ? SECOND : [];
  const known = { forPeople: [...FOR_PEOPLE, ...second], all: [...COLUMNS, ...second] };
  return csvWriter(known, flags, (row: ReadResult) => [row]);
}

function cellOf(value: unknown): CsvCell {
  return value === null || typeof value === "object" ? null : (value as CsvCell);
}
