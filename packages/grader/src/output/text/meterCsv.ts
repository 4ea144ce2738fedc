import type { MeterResult } from "../../run/meterFrame.ts";
import { type CsvCell, csvLine } from "./csv.ts";
import { isRecorded, type MeterRow, meterRows } from "./meterRows.ts";
import type { RowWriter } from "./rowWriter.ts";

const COLUMNS: readonly (readonly [string, (row: MeterRow) => CsvCell])[] = [
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

/** Metered frames as comma-separated values, a row for each pattern; units are in the headings. */
export function meterCsv(): RowWriter<MeterResult> {
  return {
    head: csvLine(COLUMNS.map(([title]) => title)),
    row: (frame) =>
      meterRows(frame)
        .map((row) => csvLine(COLUMNS.map(([, cell]) => cell(row))))
        .join(""),
    end: () => "",
  };
}
