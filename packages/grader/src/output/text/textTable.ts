import { cutText } from "@tonefall/tone-core";
import Table from "cli-table3";
// The versions that cli-table3 measures with, so that both agree on every name.
import stringWidth from "string-width";
import wrapAnsi from "wrap-ansi";

/** A column of a table of text. */
export interface Column<Row> {
  readonly title: string;
  readonly cell: (row: Row) => string;
  /** @default "left" */
  readonly align?: "left" | "right";
  /** Gives way when the line is too long, down to this many characters; its cells then wrap. Left out: never. */
  readonly shrinksTo?: number;
  /**
   * Where its cells wrap: prose between words, names anywhere.
   * @default "words"
   */
  readonly wraps?: "words" | "anywhere";
}

/** How a table of text is set. */
export interface TableStyle {
  /** Characters in a line. */
  readonly width: number;
  /** Makes a heading stand out; receives and returns text. */
  readonly heading: (text: string) => string;
}

const GAP = 2;

/** Longer cells are cut before they are laid out: what comes from files may be of any length, and JSON has it whole. */
const MOST_IN_CELL = 1000;

/**
 * Lines that are laid out together. The library goes over a cell once for each of its lines, and over all rows on the stack,
 * so it is given single lines, and not too many of them.
 */
const LINES_AT_ONCE = 1000;

/** Rows as aligned text without rules, at most `width` characters across unless its fixed columns need more. */
export function textTable<Row>(
  columns: readonly Column<Row>[],
  rows: readonly Row[],
  style: TableStyle,
): string {
  const cells = rows.map((row) => columns.map(({ cell }) => cutText(cell(row), MOST_IN_CELL)));
  const natural = columns.map(({ title }, i) =>
    cells.reduce(
      (widest, row) => Math.max(widest, stringWidth(row[i] as string)),
      stringWidth(title),
    ),
  );
  const widths = fitted(natural, columns, style.width);
  const wrapped = (content: string, i: number): string[] => {
    const wordWrap = columns[i]?.wraps !== "anywhere";
    const options = { hard: true, trim: wordWrap, wordWrap };
    return wrapAnsi(content, widths[i] as number, options).split("\n");
  };
  const lines = [
    columns.map(({ title }) => style.heading(title)),
    ...cells.flatMap((row) => sideBySide(row.map(wrapped))),
  ];
  return aligned(lines, columns, widths)
    .map((line) => line.trimEnd())
    .join("\n");
}

/** The lines of cells that stand beside one another, with nothing where a cell has fewer than others. */
function sideBySide(cells: readonly (readonly string[])[]): string[][] {
  const height = Math.max(...cells.map(({ length }) => length));
  return Array.from({ length: height }, (_, line) => cells.map((cell) => cell[line] ?? ""));
}

function aligned<Row>(
  lines: readonly string[][],
  columns: readonly Column<Row>[],
  widths: readonly number[],
): string[] {
  const texts: string[] = [];
  for (let from = 0; from < lines.length; from += LINES_AT_ONCE) {
    const table = new Table({
      colWidths: widths.map((width) => width + GAP),
      colAligns: columns.map(({ align }) => align ?? "left"),
      style: { head: [], border: [], "padding-left": 0, "padding-right": GAP },
      chars: NO_RULES,
    });
    table.push(...lines.slice(from, from + LINES_AT_ONCE));
    texts.push(...table.toString().split("\n"));
  }
  return texts;
}

/** Column widths that fit the line, taken from the widest of the columns that may give way. */
function fitted<Row>(
  natural: readonly number[],
  columns: readonly Column<Row>[],
  lineWidth: number,
): number[] {
  const widths = [...natural];
  let excess = natural.reduce((sum, width) => sum + width + GAP, -GAP) - lineWidth;
  const widestFirst = [...natural.keys()].sort((a, b) => (natural[b] ?? 0) - (natural[a] ?? 0));
  for (const i of widestFirst) {
    const width = natural[i] as number;
    const least = Math.min(width, columns[i]?.shrinksTo ?? width);
    const cut = Math.max(0, Math.min(excess, width - least));
    widths[i] = width - cut;
    excess -= cut;
  }
  return widths;
}

const NO_RULES = {
  top: "",
  "top-mid": "",
  "top-left": "",
  "top-right": "",
  bottom: "",
  "bottom-mid": "",
  "bottom-left": "",
  "bottom-right": "",
  left: "",
  "left-mid": "",
  mid: "",
  "mid-mid": "",
  right: "",
  "right-mid": "",
  middle: "",
};
