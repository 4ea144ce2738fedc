import wrapAnsi from "wrap-ansi";
import type { Exposure, ReadResult } from "../../model/result.ts";
import { messageText, safeText, settingsText, stopsText } from "../../model/words.ts";
import { namesOf } from "./folders.ts";
import { headline } from "./frameTable.ts";
import { markdownHead, markdownLine } from "./markdownTable.ts";
import { type RowWriter, writtenAtEnd } from "./rowWriter.ts";
import { type Column, type TableStyle, textTable, varyingColumns } from "./textTable.ts";

/** What the tables read of a record. */
type ReadRow = Pick<ReadResult, "file" | "givenExposure" | "failure"> & {
  readonly exposure: Pick<
    Exposure,
    "aperture" | "shutter" | "iso" | "compensation" | "meteringPattern" | "programme"
  > | null;
};

const FRAME: Column<ReadRow> = {
  title: "Frame",
  cell: ({ file }) => safeText(file),
  shrinksTo: 10,
  gives: "shortens",
};

const RECORD: readonly Column<ReadRow>[] = [
  { title: "Settings", cell: ({ exposure }) => settingsText(exposure) },
  {
    title: "Comp.",
    cell: ({ exposure }) =>
      exposure && exposure.compensation.value !== null
        ? stopsText(exposure.compensation.exact ?? exposure.compensation.value)
        : "-",
    align: "right",
    inHeading: inHeading("compensation"),
  },
  {
    title: "Metering",
    cell: ({ exposure }) => exposure?.meteringPattern.value ?? "-",
    inHeading: inHeading("metering"),
  },
  {
    title: "Programme",
    cell: ({ exposure }) => exposure?.programme.value ?? "-",
    shrinksTo: 9,
    gives: "shortens",
    inHeading: inHeading("programme"),
  },
];

function inHeading(what: string): (value: string) => string {
  return (value) => (value === "-" ? `no ${what} recorded` : `${what} ${value} throughout`);
}

/** Exposure records as a table for a terminal, with what could not be read below. */
export function readTable(style: TableStyle): RowWriter<ReadResult> {
  return writtenAtEnd(tableRow, (rows) => tableOf(rows, style));
}

/** Exposure records as a Markdown table. */
export function readMarkdown(): RowWriter<ReadResult> {
  const columns = [FRAME, ...RECORD];
  let summary = NOTHING_READ;
  return {
    head: markdownHead(columns.map(({ title }) => title)),
    row: (row) => {
      summary = countedRead(summary, row);
      return markdownLine(columns.map(({ cell }) => cell(row)));
    },
    end: () => `\n${summaryText(summary)}\n`,
  };
}

function tableRow({ file, exposure, givenExposure, failure }: ReadResult): ReadRow {
  if (!exposure) return { file, exposure, givenExposure, failure };
  const { aperture, shutter, iso, compensation, meteringPattern, programme } = exposure;
  const shown = { aperture, shutter, iso, compensation, meteringPattern, programme };
  return { file, exposure: shown, givenExposure, failure };
}

/** Shorter lines have no room for the last column. */
const ROOM_FOR_PROGRAMME = 72;

function tableOf(rows: readonly ReadRow[], style: TableStyle): string {
  const names = namesOf(rows);
  const record = style.width < ROOM_FOR_PROGRAMME ? RECORD.slice(0, -1) : RECORD;
  const { columns, said } = varyingColumns([{ ...FRAME, cell: names.inFolder }, ...record], rows);
  const failures = rows.flatMap((row) =>
    row.failure
      ? [wrapAnsi(`Not read: ${names.whole(row)}: ${messageText(row.failure)}`, style.width)]
      : [],
  );
  const sections = [
    headline(names.shared, said, style.width),
    textTable(columns, rows, style, names.folder),
    failures.join("\n"),
    summaryText(rows.reduce(countedRead, NOTHING_READ)),
  ];
  return `${sections.filter((section) => section !== "").join("\n\n")}\n`;
}

const NOTHING_READ = { frames: 0, bare: 0, failed: 0 };

function countedRead(
  { frames, bare, failed }: typeof NOTHING_READ,
  { exposure, givenExposure, failure }: ReadRow,
): typeof NOTHING_READ {
  return {
    frames: frames + 1,
    bare: bare + (exposure && givenExposure === null ? 1 : 0),
    failed: failed + (failure ? 1 : 0),
  };
}

function summaryText({ frames, bare, failed }: typeof NOTHING_READ): string {
  const parts = [
    bare > 0 ? `${bare} without full settings` : null,
    failed > 0 ? `${failed} not read` : null,
  ].filter((part) => part !== null);
  const counted = `${frames} ${frames === 1 ? "frame" : "frames"}`;
  return parts.length > 0 ? `${counted}: ${parts.join(", ")}` : counted;
}
