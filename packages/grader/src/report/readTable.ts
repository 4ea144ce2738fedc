import type { ReadResult } from "../result.ts";
import { markdownTable } from "./markdownTable.ts";
import { type Column, type TableStyle, textTable } from "./textTable.ts";
import { safeText, settingsText, stopsText } from "./words.ts";

const COLUMNS: readonly Column<ReadResult>[] = [
  { title: "Frame", cell: ({ file }) => safeText(file), shrinksTo: 16, wraps: "anywhere" },
  { title: "Settings", cell: ({ exposure }) => settingsText(exposure) },
  {
    title: "Comp.",
    cell: ({ exposure }) =>
      exposure && exposure.compensation.value !== null
        ? stopsText(exposure.compensation.exact ?? exposure.compensation.value)
        : "-",
    align: "right",
  },
  { title: "Metering", cell: ({ exposure }) => exposure?.meteringPattern.value ?? "-" },
  { title: "Programme", cell: ({ exposure }) => exposure?.programme.value ?? "-", shrinksTo: 9 },
];

/** Exposure records as a table for a terminal, with what could not be read below. */
export function readTable(rows: readonly ReadResult[], style: TableStyle): string {
  const failures = rows.flatMap(({ file, failure }) =>
    failure ? [`Not read: ${safeText(file)}: ${safeText(failure.message)} [${failure.code}]`] : [],
  );
  const sections = [textTable(COLUMNS, rows, style), failures.join("\n"), readSummary(rows)];
  return `${sections.filter((section) => section !== "").join("\n\n")}\n`;
}

/** Exposure records as a Markdown table. */
export function readMarkdown(rows: readonly ReadResult[]): string {
  const table = markdownTable(
    COLUMNS.map(({ title }) => title),
    rows.map((row) => COLUMNS.map(({ cell }) => cell(row))),
  );
  return `${table}\n${readSummary(rows)}\n`;
}

function readSummary(rows: readonly ReadResult[]): string {
  const failed = rows.filter(({ failure }) => failure !== null).length;
  const bare = rows.filter((row) => row.exposure && row.givenExposure === null).length;
  const parts = [
    bare > 0 ? `${bare} without full settings` : null,
    failed > 0 ? `${failed} not read` : null,
  ].filter((part) => part !== null);
  const counted = `${rows.length} ${rows.length === 1 ? "frame" : "frames"}`;
  return parts.length > 0 ? `${counted}: ${parts.join(", ")}` : counted;
}
