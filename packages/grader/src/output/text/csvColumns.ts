import { cutText, nearestWord } from "@tonefall/tone-core";
import { GraderError } from "../../model/errors.ts";
import { type CsvCell, csvLine } from "./csv.ts";
import type { RowWriter } from "./rowWriter.ts";

/** A column of CSV: its heading, and its cell of a row. */
export type CsvColumn<Row> = readonly [string, (row: Row) => CsvCell];

/** How CSV is wanted. */
export interface CsvFlags {
  /** `all`, or headings of columns; left out, the columns for people. */
  readonly columns?: readonly string[];
  /** Whether to begin with a byte-order mark. */
  readonly bom?: true;
}

const ALL = "all";
const BYTE_ORDER_MARK = "\uFEFF";

/** The columns that a format has. */
export interface CsvColumns<Row> {
  /** Columns in the order in which people read them, without being asked for. */
  readonly forPeople: readonly CsvColumn<Row>[];
  /** Everything in full precision. */
  readonly all: readonly CsvColumn<Row>[];
}

/**
 * Writes rows as CSV.
 *
 * @param linesOf - the lines that a row has; one by default
 * @throws {@link GraderError} `bad-option` where no column has such a name
 */
export function csvWriter<Row, Line = Row>(
  known: CsvColumns<Line>,
  flags: CsvFlags,
  linesOf: (row: Row) => readonly Line[],
): RowWriter<Row> {
  const columns = chosen(known, flags.columns);
  return {
    head: (flags.bom ? BYTE_ORDER_MARK : "") + csvLine(columns.map(([title]) => title)),
    row: (row) =>
      linesOf(row)
        .map((line) => csvLine(columns.map(([, cell]) => cell(line))))
        .join(""),
    end: () => "",
  };
}

function chosen<Row>(
  { forPeople, all }: CsvColumns<Row>,
  names: CsvFlags["columns"],
): readonly CsvColumn<Row>[] {
  if (names === undefined) return forPeople;
  if (names.length === 1 && names[0] === ALL) return all;
  const columns = new Map([...forPeople, ...all].map((column) => [column[0], column]));
  return names.map((name) => columns.get(name) ?? refuse(name, [...columns.keys()]));
}

function refuse(name: string, known: readonly string[]): never {
  const nearest = nearestWord(name, [ALL, ...known]);
  const help = nearest ? `did you mean "${nearest}"?` : `the columns are ${known.join(", ")}`;
  throw new GraderError(
    "bad-option",
    `Expected names of columns for --columns but received "${cutText(name, 60)}": ${help}`,
  );
}

/** A number as people read it in a spreadsheet. */
export function rounded(value: number | null | undefined): number | null {
  // A zero with a minus would tell a direction where there is none.
  return value === null || value === undefined ? null : Number(value.toFixed(2)) + 0;
}

/** The folder of a file, `.` for none. */
export function folderOf(file: string): string {
  const end = file.lastIndexOf("/");
  return end < 0 ? "." : file.slice(0, end) || "/";
}

/** The name of a file without its folder. */
export function nameOf(file: string): string {
  return file.slice(file.lastIndexOf("/") + 1);
}
