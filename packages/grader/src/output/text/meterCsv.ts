import type { MeterResult } from "../../run/meterFrame.ts";
import {
  type CsvColumn,
  type CsvFlags,
  csvWriter,
  folderOf,
  nameOf,
  rounded,
} from "./csvColumns.ts";
import { isRecorded, type MeterRow, meterRows } from "./meterRows.ts";
import type { RowWriter } from "./rowWriter.ts";

/** In the order in which people read them; stops have two decimals. */
const FOR_PEOPLE: readonly CsvColumn<MeterRow>[] = [
  ["folder", ({ frame }) => folderOf(frame.file)],
  ["frame", ({ frame }) => nameOf(frame.file)],
  ["pattern", ({ reading }) => reading?.pattern ?? null],
  ["recorded", (row) => (row.reading ? isRecorded(row) : null)],
  ["reading", ({ reading }) => rounded(reading?.stops)],
  ["bound", ({ reading }) => reading?.bound ?? null],
  ["fall", ({ frame }) => rounded(frame.fall?.stops)],
  ["fall_if_followed", ({ reading }) => rounded(reading?.fallIfFollowed?.stops)],
  ["words", ({ frame }) => frame.failure?.message ?? null],
];

const COLUMNS: readonly CsvColumn<MeterRow>[] = [
  ["file", ({ frame }) => frame.file],
  ["basis", ({ frame }) => frame.basis],
  ["region", ({ frame }) => frame.region],
  ["fall_stops", ({ frame }) => frame.fall?.stops ?? null],
  ["fall_bound", ({ frame }) => frame.fall?.bound ?? null],
  ["pattern", ({ reading }) => reading?.pattern ?? null],
  ["recorded", (row) => (row.reading ? isRecorded(row) : null)],
  ["estimate", ({ reading }) => reading?.estimate ?? null],
  ["reading_stops", ({ reading }) => reading?.stops ?? null],
  ["reading_bound", ({ reading }) => reading?.bound ?? null],
  ["fall_if_followed_stops", ({ reading }) => reading?.fallIfFollowed?.stops ?? null],
  ["fall_if_followed_bound", ({ reading }) => reading?.fallIfFollowed?.bound ?? null],
  ["ev100", ({ frame }) => frame.light?.ev100 ?? null],
  ["middle_grey_cd_m2", ({ frame }) => frame.light?.luminanceAtMiddleGrey ?? null],
  ["light_plausible", ({ frame }) => frame.light?.plausible ?? null],
  ["failure", ({ frame }) => frame.failure?.code ?? null],
];

/** Metered frames as comma-separated values, a line for each pattern. */
export function meterCsv(flags: CsvFlags): RowWriter<MeterResult> {
  return csvWriter({ forPeople: FOR_PEOPLE, all: COLUMNS }, flags, meterRows);
}
