import type { ReadResult } from "../result.ts";
import { markdownTable } from "./markdownTable.ts";
import { sharedFolder } from "./sharedFolder.ts";
import { type Column, type TableStyle, textTable } from "./textTable.ts";
import { safeText, settingsText, stopsText } from "./words.ts";

const FRAME: Column<ReadResult> = {
  title: "Frame",
  cell: ({ file }) => safeText(file),
  shrinksTo: 16,
  wraps: "anywhere",
};

const RECORD: readonly Column<ReadResult>[] = [
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
  const folder = sharedFolder(rows.map(({ file }) => file));
  const name = ({ file }: ReadResult): string => safeText(file.slice(folder.length));
  const failures = rows.flatMap((row) =>
    row.failure
      ? [`Not read: ${name(row)}: ${safeText(row.failure.message)} [${row.failure.code}]`]
      : [],
  );
  const sections = [
    folder === "" ? "" : `Frames in ${safeText(folder)}`,
    textTable([{ ...FRAME, cell: name }, ...RECORD], rows, style),
    failures.join("\n"),
    readSummary(rows),
  ];
  return `${sections.filter((section) => section !== "").join("\n\n")}\n`;
}

/** Exposure records as a Markdown table. */
export function readMarkdown(rows: readonly ReadResult[]): string {
  const columns = [FRAME, ...RECORD];
  const table = markdownTable(
    columns.map(({ title }) => title),
    rows.map((row) => columns.map(({ cell }) => cell(row))),
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
