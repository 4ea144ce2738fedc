import { decidedError } from "../../model/decidedError.ts";
import type { Voice } from "../../model/feedback.ts";
import type { FrameResult } from "../../model/result.ts";
import {
  boundedStopsText,
  decidedText,
  errorText,
  outcomeText,
  percentText,
  placementText,
  settingsText,
  stopsText,
} from "../../model/words.ts";
import { namesOf } from "./folders.ts";
import {
  basisMark,
  basisText,
  commonestBasis,
  failureTable,
  headline,
  nameColumn,
  noteTable,
  type Paint,
  paintVerdict,
  type TableBody,
  type TableRow,
} from "./frameTable.ts";
import { gradeWords } from "./gradeWords.ts";
import { rawTable } from "./rawTable.ts";
import { type RowWriter, writtenAtEnd } from "./rowWriter.ts";
import { counted, NOTHING_COUNTED, summaryText } from "./summarise.ts";
import { type Column, type TableStyle, textTable, varyingColumns } from "./textTable.ts";
import { type GivenOptions, whatNext } from "./whatNext.ts";
import { worstFirst } from "./worstFirst.ts";
import { wrapped } from "./wrapped.ts";

/** Lines this long have room for the settings. */
const WIDE = 118;

/** Shorter lines have no room for uncertainties. */
const NARROW = 72;

/** Orders that rows can be shown in. */
export const ORDERS = ["folder", "worst"] as const;

/** One of {@link ORDERS}. */
export type Order = (typeof ORDERS)[number];

/** How graded rows become a table. */
export interface GradeTableOptions {
  readonly width: number;
  readonly paint: Paint;
  /** @default "folder" */
  readonly order?: Order;
  /** To whom the grades in words are spoken; words then take the place of figures. */
  readonly voice?: Voice | null;
  /** @default null */
  readonly given?: GivenOptions;
}

/** Graded rows as a table for a terminal, with what went wrong and a summary below; all of it at the end. */
export function gradeTable(options: GradeTableOptions): RowWriter<FrameResult> {
  return writtenAtEnd(tableRow, (rows) => tableOf(rows, options));
}

function tableRow(row: FrameResult): TableRow {
  const { file, basis, placement, fall, error, verdict, clipped, crushed } = row;
  const { feedback, sensor, exposure, failure, notes, pair, causes } = row;
  return {
    ...{ file, basis, placement, fall, error, verdict, crushed, failure, notes },
    ...(pair ? { pair } : {}),
    clipped: clipped && { share: clipped.share },
    cause: causes[0]?.code ?? null,
    settings: settingsText(exposure),
    feedback: feedback ? { text: feedback.text, cautions: feedback.cautions } : null,
    sensor: sensor && {
      roomAboveRegion: sensor.roomAboveRegion,
      roomAboveFrame: sensor.roomAboveFrame,
      channels: sensor.channels.map(({ channel, clippedShare }) => ({ channel, clippedShare })),
    },
  };
}

function tableOf(
  frames: readonly TableRow[],
  { width, paint, order = "folder", voice = null, given = null }: GradeTableOptions,
): string {
  const style: TableStyle = { width, heading: paint.strong };
  const names = namesOf(frames);
  const sorted = order === "worst" ? worstFirst(frames) : frames;
  const folderOf = order === "folder" ? names.folder : () => "";
  const body = { frames: sorted, names, folderOf, style, paint };
  const sections = [
    ...(voice === null ? figures(body) : gradeWords({ ...body, voice })),
    voice === null ? failureTable(sorted, style, names.whole) : "",
    noteTable(sorted, style),
    [
      summaryText(frames.reduce(counted, NOTHING_COUNTED)),
      ...whatNext(frames, given, names.whole).map((sentence) => wrapped(sentence, width)),
    ].join("\n"),
  ];
  return `${sections.filter((section) => section !== "").join("\n\n")}\n`;
}

function figures({ frames, names, folderOf, style, paint }: TableBody): string[] {
  const { width } = style;
  const commonBasis = commonestBasis(frames);
  const judged = frames.some(({ placement }) => placement !== null);
  const all: Column<TableRow>[] = [
    nameColumn("Frame", (row) => (folderOf(row) === "" ? names.whole(row) : names.inFolder(row))),
    ...(width >= WIDE ? [{ title: "Settings", cell: ({ settings }: TableRow) => settings }] : []),
    ...(judged ? judgedColumns(frames, width) : measuredColumns()),
    {
      title: judged ? "Verdict" : "Outcome",
      cell: (row) =>
        paintVerdict(row.verdict, `${outcomeText(row)}${basisMark(row, commonBasis)}`, paint),
      inHeading: (value) => (value === "not graded" ? "no frame graded" : `every frame ${value}`),
    },
  ];
  const { columns, said } = varyingColumns(all, frames);
  const medians =
    judged && width < WIDE && frames.some(({ error }) => error?.decidedBy === "median");
  const facts = [basisText(frames, commonBasis), ...said, medians && width >= NARROW ? MEDIAN : ""];
  return [
    headline(names.shared, facts, width),
    textTable(columns, frames, style, folderOf),
    rawTable(frames, style, names.whole),
  ];
}

const MEDIAN = "m: by the median";

function judgedColumns(frames: readonly TableRow[], width: number): Column<TableRow>[] {
  const errorOf = ({ error }: TableRow): string => (error ? errorCell(error, width) : "-");
  // With a placement of 0 the error is the fall itself.
  const repeats = frames.every(
    ({ fall, error }) => !error || (fall && boundedStopsText(fall) === decidedText(error)),
  );
  const placed = placementsOf(frames);
  return [
    {
      title: "Placed",
      // What was not graded has no placement, and does not keep the others from sharing theirs.
      cell: ({ placement, failure }) =>
        failure && placed.size === 1 ? ([...placed][0] ?? "-") : placedText(placement),
      inHeading: (value) => (value === "0" ? "placed at 0, middle grey" : `placed at ${value}`),
    },
    ...(repeats
      ? [
          {
            title: "Fell",
            cell: (row: TableRow) => (row.error ? errorOf(row) : fellText(row)),
            align: "right" as const,
          },
        ]
      : [
          { title: "Fell", cell: fellText, align: "right" as const },
          { title: "Error", cell: errorOf, align: "right" as const },
        ]),
  ];
}

/** What graded rows were placed at, each once. */
function placementsOf(frames: readonly TableRow[]): Set<string> {
  const graded = frames.filter(({ failure }) => !failure);
  return new Set(graded.map(({ placement }) => placedText(placement)));
}

function placedText(placement: TableRow["placement"]): string {
  return placement ? placementText(placement) : "-";
}

/** An error as the line has room for it. */
function errorCell(error: NonNullable<TableRow["error"]>, width: number): string {
  if (width >= WIDE) return errorText(error);
  const figure = boundedStopsText(decidedError(error));
  if (width < NARROW) return figure;
  return `${figure} ± ${error.uncertainty.toFixed(2)}${error.decidedBy === "median" ? " m" : ""}`;
}

function measuredColumns(): Column<TableRow>[] {
  return [
    { title: "Fell", cell: fellText, align: "right" },
    {
      title: "5 % to 95 %",
      cell: ({ fall }) => (fall ? `${stopsText(fall.p5)} to ${stopsText(fall.p95)}` : "-"),
    },
    {
      title: "Clipped",
      cell: ({ clipped }) => (clipped ? percentText(clipped.share) : "-"),
      align: "right",
    },
  ];
}

function fellText({ fall }: TableRow): string {
  return fall ? boundedStopsText(fall) : "-";
}
