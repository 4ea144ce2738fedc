import type { Verdict } from "@tonefall/tone-core";
import type { Feedback } from "../../model/feedback.ts";
import { type Note, sharedMessage } from "../../model/note.ts";
import type { Basis, FrameResult } from "../../model/result.ts";
import {
  boundedStopsText,
  errorText,
  messageText,
  outcomeText,
  percentText,
  placementText,
  safeText,
  settingsText,
  stopsText,
} from "../../model/words.ts";
import { type RawRow, rawTable } from "./rawTable.ts";
import { type RowWriter, writtenAtEnd } from "./rowWriter.ts";
import { sharedFolder } from "./sharedFolder.ts";
import { counted, NOTHING_COUNTED, summaryText } from "./summarise.ts";
import { type Column, type TableStyle, textTable } from "./textTable.ts";

/** Lines this long have room for the settings. */
const WIDE = 118;

/** Colours for a terminal; each takes and gives text. Warm is over, cool is under. */
export interface Paint {
  readonly over: (text: string) => string;
  readonly under: (text: string) => string;
  readonly faint: (text: string) => string;
  readonly strong: (text: string) => string;
}

/** What the table reads of a row; the rest is let go, so that a long run's rows need little memory. */
type TableRow = RawRow &
  Pick<
    FrameResult,
    "basis" | "placement" | "fall" | "error" | "verdict" | "clipped" | "failure" | "notes"
  > & {
    readonly settings: string;
    readonly feedback: Pick<Feedback, "text" | "cautions"> | null;
  };

/** Graded rows as a table for a terminal, with what went wrong and a summary below; all of it at the end. */
export function gradeTable(options: {
  readonly width: number;
  readonly paint: Paint;
}): RowWriter<FrameResult> {
  return writtenAtEnd(tableRow, (rows) => tableOf(rows, options));
}

function tableRow(row: FrameResult): TableRow {
  const { file, basis, placement, fall, error, verdict, clipped, failure, notes, pair } = row;
  const { feedback, sensor, exposure } = row;
  return {
    ...{ file, basis, placement, fall, error, verdict, clipped, failure, notes },
    ...(pair ? { pair } : {}),
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
  { width, paint }: { readonly width: number; readonly paint: Paint },
): string {
  const style: TableStyle = { width, heading: paint.strong };
  const folder = sharedFolder(frames.map(({ file }) => file));
  const name = ({ file }: { readonly file: string }): string => safeText(file.slice(folder.length));
  const bases = new Set(frames.map(({ basis }) => basis).filter((basis) => basis !== null));
  const oneBasis = bases.size === 1 ? [...bases][0] : null;
  const judged = frames.some(({ placement }) => placement !== null);
  const columns: Column<TableRow>[] = [
    { title: "Frame", cell: name, shrinksTo: 16, wraps: "anywhere" },
    ...(width >= WIDE ? [{ title: "Settings", cell: ({ settings }: TableRow) => settings }] : []),
    ...(judged ? judgedColumns(paint) : measuredColumns()),
    ...(oneBasis ? [] : [BASIS]),
  ];
  const sections = [
    headline(folder, oneBasis ?? null),
    textTable(columns, frames, style),
    feedbackTable(frames, style, name),
    rawTable(frames, style, name),
    failureTable(frames, style, name),
    noteTable(frames, style),
    summaryText(frames.reduce(counted, NOTHING_COUNTED)),
  ];
  return `${sections.filter((section) => section !== "").join("\n\n")}\n`;
}

const BASIS: Column<TableRow> = { title: "Basis", cell: ({ basis }) => basis ?? "-" };

/** What all rows have in common is said once. */
export function headline(folder: string, basis: Basis | null): string {
  const parts = [
    folder === "" ? "" : `Frames in ${safeText(folder)}`,
    basis === null ? "" : `Stops on the ${basis} basis`,
  ];
  return parts.filter((part) => part !== "").join("\n");
}

function judgedColumns(paint: Paint): Column<TableRow>[] {
  return [
    {
      title: "Placed",
      cell: ({ placement }) => (placement ? placementText(placement) : "-"),
      shrinksTo: 8,
    },
    { title: "Fell", cell: fellText, align: "right" },
    {
      title: "Error, stops",
      cell: ({ error }) => (error ? errorText(error) : "-"),
      align: "right",
    },
    { title: "Verdict", cell: (row) => paintVerdict(row.verdict, outcomeText(row), paint) },
  ];
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
    { title: "Outcome", cell: outcomeText },
  ];
}

function fellText({ fall }: TableRow): string {
  return fall ? boundedStopsText(fall) : "-";
}

function paintVerdict(verdict: Verdict | null, text: string, paint: Paint): string {
  if (verdict === "over") return paint.over(text);
  return verdict === "under" ? paint.under(text) : text;
}

/** The grades in words where they were asked for, and each caution they touch once. */
function feedbackTable(
  frames: readonly TableRow[],
  style: TableStyle,
  name: (frame: TableRow) => string,
): string {
  const spoken = frames.filter(({ feedback }) => feedback);
  const cautions = [...new Set(spoken.flatMap(({ feedback }) => feedback?.cautions ?? []))];
  const sections = [
    remarksTable("In words", spoken, style, (frame) => [name(frame), frame.feedback?.text ?? ""]),
    remarksTable("Take care", cautions, style, (caution) => ["", caution]),
  ];
  return sections.filter((section) => section !== "").join("\n\n");
}

/** What could not be graded, and why. */
export function failureTable<Row extends Pick<FrameResult, "failure">>(
  frames: readonly Row[],
  style: TableStyle,
  name: (frame: Row) => string,
): string {
  const failed = frames.filter(({ failure }) => failure !== null);
  return remarksTable("Not graded", failed, style, (frame) => [
    name(frame),
    frame.failure ? messageText(frame.failure) : "",
  ]);
}

/** Notes once each, a share as the range over the rows, with how many rows they stand in. */
export function noteTable(
  frames: readonly Pick<FrameResult, "notes">[],
  style: TableStyle,
): string {
  const told = new Map<string, [Note, ...Note[]]>();
  for (const { notes } of frames) {
    for (const note of new Map(notes.map((note) => [note.code, note])).values()) {
      const seen = told.get(note.code);
      if (seen) seen.push(note);
      else told.set(note.code, [note]);
    }
  }
  return remarksTable("Note", [...told], style, ([code, notes]) => [
    code,
    `${safeText(sharedMessage(notes))} (${notes.length === 1 ? "1 frame" : `${notes.length} frames`})`,
  ]);
}

function remarksTable<Row>(
  title: string,
  rows: readonly Row[],
  style: TableStyle,
  cells: (row: Row) => readonly [string, string],
): string {
  if (rows.length === 0) return "";
  const columns: Column<Row>[] = [
    { title, cell: (row) => cells(row)[0], shrinksTo: 20, wraps: "anywhere" },
    { title: "", cell: (row) => cells(row)[1], shrinksTo: 24 },
  ];
  return textTable(columns, rows, style);
}
