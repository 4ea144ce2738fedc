import { stringify } from "csv-stringify/sync";
import { safeText } from "../../model/words.ts";

/** A cell: missing is empty. */
export type CsvCell = string | number | boolean | null;

/**
 * Rows as comma-separated values by RFC 4180, with a heading row.
 *
 * Text that a spreadsheet would run as a formula is defused by a leading apostrophe; numbers stay numbers.
 */
export function csv(head: readonly string[], rows: readonly (readonly CsvCell[])[]): string {
  return [head, ...rows].map(csvLine).join("");
}

/** One row of {@link csv}. */
export function csvLine(cells: readonly CsvCell[]): string {
  return stringify([cells.map((cell) => (typeof cell === "string" ? defuse(cell) : cell))], {
    record_delimiter: "\r\n",
    cast: { boolean: String },
  });
}

function defuse(cell: string): string {
  // A name that could move a terminal's cursor is shown by a stand-in; line breaks are CSV's own matter.
  const text = safeText(cell);
  return /^[=+\-@\t\r\n\uFF1D\uFF0B\uFF0D\uFF20]/.test(text) ? `'${text}` : text;
}
