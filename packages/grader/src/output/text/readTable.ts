import { madeFrameOf } from "../../model/madeFrame.ts";
import type { Exposure, ReadResult } from "../../model/result.ts";
import { differingSettings, secondSentences, secondWord } from "../../model/secondWords.ts";
import { countText, messageText, safeText, settingsText, stopsText } from "../../model/words.ts";
import { namesOf } from "./folders.ts";
import { headline } from "./frameTable.ts";
import { markdownHead, markdownLine } from "./markdownTable.ts";
import { type RowWriter, writtenAtEnd } from "./rowWriter.ts";
import { type Column, type TableStyle, textTable, varyingColumns } from "./textTable.ts";
import { wrapped } from "./wrapped.ts";

/** What the tables read of a record. */
type ReadRow = Pick<ReadResult, "file" | "givenExposure" | "failure" | "secondReading"> & {
  readonly exposure: Pick<
    Exposure,
    "aperture" | "shutter" | "iso" | "compensation" | "meteringPattern" | "programme" | "software"
  > | null;
};

const FRAME: Column<ReadRow> = {
  title: "Frame",
  cell: ({ file }) => safeText(file),
  shrinksTo: 10,
  gives: "shortens",
};

const RECORD: readonly Column<ReadRow>[] = [
  {
    title: "Settings",
    cell: ({ exposure }) =>
      `${settingsText(exposure)}${exposure && madeFrameOf(exposure) ? " (made)" : ""}`,
  },
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

/** Added where a second reader was asked. */
const SECOND: Column<ReadRow> = {
  title: "exifr",
  cell: ({ secondReading }) => (secondReading ? secondWord(secondReading) : "-"),
  shrinksTo: 9,
};

/** How records are shown. */
export interface ReadTableOptions {
  /**
   * Whether a column says what a second reader makes of each file.
   * @default false
   */
  readonly secondReader?: boolean | undefined;
}

function inHeading(what: string): (value: string) => string {
  return (value) => (value === "-" ? `no ${what} recorded` : `${what} ${value} throughout`);
}

/** Exposure records as a table for a terminal, with what could not be read below. */
export function readTable(style: TableStyle & ReadTableOptions): RowWriter<ReadResult> {
  return writtenAtEnd(tableRow, (rows) => tableOf(rows, style));
}

/** Exposure records as a Markdown table. */
export function readMarkdown({ secondReader }: ReadTableOptions = {}): RowWriter<ReadResult> {
  const columns = [FRAME, ...RECORD, ...(secondReader ? [SECOND] : [])];
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

function tableRow(row: ReadResult): ReadRow {
  const { file, exposure, givenExposure, failure, secondReading } = row;
  const kept = { file, givenExposure, failure, ...(secondReading ? { secondReading } : {}) };
  if (!exposure) return { ...kept, exposure };
  const { aperture, shutter, iso, compensation, meteringPattern, programme, software } = exposure;
  const shown = { aperture, shutter, iso, compensation, meteringPattern, programme, software };
  return { ...kept, exposure: shown };
}

/** Shorter lines have no room for the last column. */
const ROOM_FOR_PROGRAMME = 72;

function tableOf(rows: readonly ReadRow[], style: TableStyle & ReadTableOptions): string {
  const names = namesOf(rows);
  const record = style.width < ROOM_FOR_PROGRAMME ? RECORD.slice(0, -1) : RECORD;
  const second = style.secondReader ? [SECOND] : [];
  const { columns, said } = varyingColumns(
    [{ ...FRAME, cell: names.inFolder }, ...record, ...second],
    rows,
  );
  const failures = rows.flatMap((row) =>
    row.failure
      ? [wrapped(`Not read: ${names.whole(row)}: ${messageText(row.failure)}`, style.width)]
      : [],
  );
  const differences = rows.flatMap((row) =>
    secondSentences(row).map((sentence) =>
      wrapped(`${names.whole(row)}: ${safeText(sentence)}`, style.width),
    ),
  );
  const sections = [
    headline(names.shared, rows.some(({ failure }) => !failure) ? said : [], style.width),
    textTable(columns, rows, style, names.folder),
    failures.join("\n"),
    differences.join("\n"),
    wrapped(summaryText(rows.reduce(countedRead, NOTHING_READ)), style.width),
  ];
  return `${sections.filter((section) => section !== "").join("\n\n")}\n`;
}

const NOTHING_READ = { frames: 0, bare: 0, failed: 0, differing: 0 };

function countedRead(
  { frames, bare, failed, differing }: typeof NOTHING_READ,
  { exposure, givenExposure, failure, secondReading }: ReadRow,
): typeof NOTHING_READ {
  return {
    frames: frames + 1,
    bare: bare + (exposure && givenExposure === null ? 1 : 0),
    failed: failed + (failure ? 1 : 0),
    differing: differing + (secondReading && differingSettings(secondReading).length > 0 ? 1 : 0),
  };
}

function summaryText({ frames, bare, failed, differing }: typeof NOTHING_READ): string {
  const parts = [
    bare > 0 ? `${bare} without full settings` : null,
    failed > 0 ? `${failed} not read` : null,
    differing > 0 ? `exifr differs in ${differing}` : null,
  ].filter((part) => part !== null);
  const counted = `${countText(frames, "frame")}`;
  return parts.length > 0 ? `${counted}: ${parts.join(", ")}` : counted;
}
