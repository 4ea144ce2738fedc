import type { Verdict } from "@tonefall/tone-core";
import type { Feedback } from "../../model/feedback.ts";
import { type Note, sharedMessage } from "../../model/note.ts";
import type { Basis, FrameResult } from "../../model/result.ts";
import { countText, messageText, safeText } from "../../model/words.ts";
import type { FrameNames } from "./folders.ts";
import type { RawRow } from "./rawTable.ts";
import { type Column, type TableStyle, textTable } from "./textTable.ts";
import type { SummedRow } from "./whatNext.ts";
import { wrapped } from "./wrapped.ts";

/** Colours for a terminal; each receives and returns text. Warm is lighter, cool is darker. */
export interface Paint {
  readonly over: (text: string) => string;
  readonly under: (text: string) => string;
  readonly faint: (text: string) => string;
  readonly strong: (text: string) => string;
}

/** What the table reads of a row; the rest is dropped, so that the rows of a long run need little memory. */
export type TableRow = RawRow &
  SummedRow &
  Pick<FrameResult, "notes"> & {
    readonly settings: string;
    readonly feedback: Pick<Feedback, "text" | "cautions"> | null;
  };

/** The rows of a table with what it takes to set them. */
export interface TableBody {
  readonly frames: readonly TableRow[];
  readonly names: FrameNames;
  /** The folder that a row stands under. */
  readonly folderOf: (row: TableRow) => string;
  readonly style: TableStyle;
  readonly paint: Paint;
}

/** A column of names, which give way first and never break. */
export function nameColumn<Row>(title: string, cell: (row: Row) => string): Column<Row> {
  return { title, cell, shrinksTo: 10, gives: "shortens" };
}

/** The basis of most rows; null where there is none. */
export function commonestBasis(frames: readonly Pick<FrameResult, "basis">[]): Basis | null {
  const bases = frames.flatMap(({ basis }) => basis ?? []);
  const count = (wanted: Basis): number => bases.filter((basis) => basis === wanted).length;
  const [first] = [...new Set(bases)].sort((a, b) => count(b) - count(a));
  return first ?? null;
}

/** The basis of a row that is on another than most, to stand behind a word: `, scene`; empty otherwise. */
export function basisMark({ basis }: Pick<FrameResult, "basis">, commonest: Basis | null): string {
  return basis === null || basis === commonest ? "" : `, ${basis}`;
}

/** Which stops a table's figures are in. */
export function basisText(
  frames: readonly Pick<FrameResult, "basis">[],
  commonest: Basis | null,
): string {
  if (commonest === null) return "";
  const others = frames.some(({ basis }) => basis !== null && basis !== commonest);
  return `Stops on the ${commonest} basis${others ? " unless the row names another" : ""}`;
}

/** What all rows have in common, said once above them. */
export function headline(folder: string, facts: readonly string[], width: number): string {
  const lines = [
    folder === "" ? "" : `Frames in ${safeText(folder)}`,
    wrapped(facts.filter((fact) => fact !== "").join("; "), width),
  ];
  return lines.filter((line) => line !== "").join("\n");
}

/** A verdict in its colour. */
export function paintVerdict(verdict: Verdict | null, text: string, paint: Paint): string {
  if (verdict === "over") return paint.over(text);
  return verdict === "under" ? paint.under(text) : text;
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
  const byCode = new Map<string, [Note, ...Note[]]>();
  for (const { notes } of frames) {
    for (const note of new Map(notes.map((note) => [note.code, note])).values()) {
      const seen = byCode.get(note.code);
      if (seen) seen.push(note);
      else byCode.set(note.code, [note]);
    }
  }
  return remarksTable("Note", [...byCode], style, ([code, notes]) => [
    code,
    `${safeText(sharedMessage(notes))} (${countText(notes.length, "frame")})`,
  ]);
}

/** Names with a remark on each. */
function remarksTable<Row>(
  title: string,
  rows: readonly Row[],
  style: TableStyle,
  cells: (row: Row) => readonly [string, string],
): string {
  if (rows.length === 0) return "";
  const columns: Column<Row>[] = [
    { title, cell: (row) => cells(row)[0], shrinksTo: 20, gives: "shortens" },
    { title: "", cell: (row) => cells(row)[1], shrinksTo: 24 },
  ];
  return textTable(columns, rows, style);
}
