import { cutText } from "@tonefall/tone-core";
import { shortened } from "./shortened.ts";
import { textWidth } from "./textWidth.ts";
import { wrapped } from "./wrapped.ts";

/** A column of a table of text. */
export interface Column<Row> {
  readonly title: string;
  readonly cell: (row: Row) => string;
  /** @default "left" */
  readonly align?: "left" | "right";
  /** Gives way when the line is too long, down to this many characters. Left out: never. */
  readonly shrinksTo?: number;
  /**
   * How its cells give way: prose wraps between words, a name stays on its line and loses its middle.
   * @default "wraps"
   */
  readonly gives?: "wraps" | "shortens";
  /** Says in a heading what all rows have in common; the column is then left out by {@link varyingColumns}. */
  readonly inHeading?: (value: string) => string;
}

/** How a table of text is set. */
export interface TableStyle {
  /** Characters in a line. */
  readonly width: number;
  /** Makes a heading stand out; receives and returns text. */
  readonly heading: (text: string) => string;
}

const GAP = 2;

/** Longer cells are cut before they are laid out: text from files may be of any length, and JSON has it whole. */
const MOST_IN_CELL = 1000;

/**
 * Rows as aligned text without rules, at most `width` characters across unless its fixed columns need more.
 *
 * @param groupOf - the heading that a row belongs under, each once in the order of their first rows; rows without one,
 *   for which it is empty, come first
 */
export function textTable<Row>(
  columns: readonly Column<Row>[],
  rows: readonly Row[],
  style: TableStyle,
  groupOf: (row: Row) => string = () => "",
): string {
  const cells = rows.map((row) => columns.map(({ cell }) => cutText(cell(row), MOST_IN_CELL)));
  const natural = columns.map(({ title }, i) =>
    cells.reduce((widest, row) => Math.max(widest, textWidth(row[i] as string)), textWidth(title)),
  );
  const widths = fitted(natural, columns, style.width);
  const laidOut = (row: readonly string[]): string[] =>
    sideBySide(row.map((content, i) => cellLines(content, columns[i], widths[i] as number))).map(
      (line) => padded(line, columns, widths),
    );
  const lines = [...laidOut(columns.map(({ title }) => title)).map(style.heading)];
  for (const [group, members] of grouped([...rows.keys()], (i) => groupOf(rows[i] as Row))) {
    if (group !== "") lines.push("", style.heading(shortened(group, style.width)));
    for (const i of members) lines.push(...laidOut(cells[i] as string[]));
  }
  return lines.join("\n");
}

/** Items by group, in the order in which the groups appear; those without one, under the empty name, come first. */
export function grouped<Item>(
  items: readonly Item[],
  groupOf: (item: Item) => string,
): ReadonlyMap<string, readonly Item[]> {
  const groups = new Map<string, Item[]>([["", []]]);
  for (const item of items) {
    const members = groups.get(groupOf(item));
    if (members) members.push(item);
    else groups.set(groupOf(item), [item]);
  }
  return groups;
}

/**
 * The columns whose cells differ from row to row, and what a heading says in place of the others. A table of one row keeps
 * all of its columns.
 */
export function varyingColumns<Row>(
  columns: readonly Column<Row>[],
  rows: readonly Row[],
): { readonly columns: readonly Column<Row>[]; readonly said: readonly string[] } {
  const [first, ...others] = rows;
  const said: string[] = [];
  const varying = columns.filter(({ cell, inHeading }) => {
    if (first === undefined || others.length === 0 || !inHeading) return true;
    const value = cell(first);
    if (others.some((row) => cell(row) !== value)) return true;
    said.push(inHeading(value));
    return false;
  });
  return { columns: varying, said };
}

function cellLines<Row>(content: string, column: Column<Row> | undefined, width: number): string[] {
  if (column?.gives === "shortens") return [shortened(content, width)];
  return wrapped(content, width, true).split("\n");
}

/** The lines of cells that stand beside one another, with nothing where a cell has fewer than others. */
function sideBySide(cells: readonly (readonly string[])[]): string[][] {
  const height = Math.max(...cells.map(({ length }) => length));
  return Array.from({ length: height }, (_, line) => cells.map((cell) => cell[line] ?? ""));
}

/** One line of cells, each padded to its column's width; nothing trails. */
function padded<Row>(
  cells: readonly string[],
  columns: readonly Column<Row>[],
  widths: readonly number[],
): string {
  const parts = cells.map((text, i) => {
    const space = " ".repeat(Math.max(0, (widths[i] as number) - textWidth(text)));
    return columns[i]?.align === "right" ? space + text : text + space;
  });
  return parts.join(" ".repeat(GAP)).trimEnd();
}

/** Column widths that fit the line: what is too much comes from whichever column that may give way is the widest. */
function fitted<Row>(
  natural: readonly number[],
  columns: readonly Column<Row>[],
  lineWidth: number,
): number[] {
  const widths = [...natural];
  let excess = natural.reduce((sum, width) => sum + width + GAP, -GAP) - lineWidth;
  const spare = (i: number): boolean => (widths[i] as number) > (columns[i]?.shrinksTo ?? Infinity);
  for (; excess > 0; excess--) {
    const giving = [...widths.keys()].filter(spare);
    const [first, ...others] = giving;
    if (first === undefined) break;
    const widest = others.reduce(
      (most, i) => ((widths[i] as number) > (widths[most] as number) ? i : most),
      first,
    );
    (widths[widest] as number)--;
  }
  return widths;
}
