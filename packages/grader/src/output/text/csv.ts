import { stringify } from "csv-stringify/sync";
import { safeText } from "../../model/words.ts";

/** A cell: missing is empty. */
export type CsvCell = string | number | boolean | null;

/**
 * Rows as comma-separated values by RFC 4180, with a heading row.
 *
 * Text that a spreadsheet would run as a formula begins with an apostrophe; numbers stay numbers. A name that could move
 * a terminal's cursor shows a stand-in.
 */
export function csv(head: readonly string[], rows: readonly (readonly CsvCell[])[]): string {
  return [head, ...rows].map(csvLine).join("");
}

/** One row of {@link csv}. */
export function csvLine(cells: readonly CsvCell[]): string {
  return stringify([cells.map((cell) => (typeof cell === "string" ? safeText(cell) : cell))], {
    record_delimiter: "\r\n",
    escape_formulas: true,
    cast: { boolean: String },
  });
}
