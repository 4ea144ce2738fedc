import Table from "cli-table3";

/** A column of a table of text. */
export interface Column<Row> {
  readonly title: string;
  readonly cell: (row: Row) => string;
  /** @default "left" */
  readonly align?: "left" | "right";
  /** Gives way when the line is too long, down to this many characters; its cells then wrap. Left out: never. */
  readonly shrinksTo?: number;
  /**
   * Where its cells wrap: prose between words, names anywhere (such cells must be plain, without colour).
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

/** Rows as aligned text without rules, at most `width` characters across unless its fixed columns need more. */
export function textTable<Row>(
  columns: readonly Column<Row>[],
  rows: readonly Row[],
  style: TableStyle,
): string {
  const cells = rows.map((row) => columns.map(({ cell }) => cell(row)));
  const natural = columns.map(({ title }, i) =>
    Math.max(title.length, ...cells.map((row) => visibleLength(row[i] as string))),
  );
  const widths = fitted(natural, columns, style.width);
  const table = new Table({
    head: columns.map(({ title }) => style.heading(title)),
    colWidths: widths.map((width) => width + GAP),
    colAligns: columns.map(({ align }) => align ?? "left"),
    wordWrap: true,
    style: { head: [], border: [], "padding-left": 0, "padding-right": GAP },
    chars: NO_RULES,
  });
  table.push(
    ...cells.map((row) =>
      row.map((content, i) => ({ content, wrapOnWordBoundary: columns[i]?.wraps !== "anywhere" })),
    ),
  );
  return table
    .toString()
    .split("\n")
    .map((line) => line.trimEnd())
    .join("\n");
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

/** Length without the escape sequences of colour. */
function visibleLength(text: string): number {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: the sequences begin with the escape character
  return text.replace(/\u001b\[\d+m/g, "").length;
}
