import { decidedError } from "../../model/decidedError.ts";
import type { FrameResult } from "../../model/result.ts";
import { placementText } from "../../model/words.ts";
import {
  type CsvColumn,
  type CsvFlags,
  csvWriter,
  folderOf,
  nameOf,
  rounded,
} from "./csvColumns.ts";
import type { RowWriter } from "./rowWriter.ts";

/** In the order in which people read them; stops have two decimals. */
const FOR_PEOPLE: readonly CsvColumn<FrameResult>[] = [
  ["folder", ({ file }) => folderOf(file)],
  ["frame", ({ file }) => nameOf(file)],
  ["verdict", ({ verdict }) => verdict],
  ["error", ({ error }) => (error ? rounded(decidedError(error).stops) : null)],
  ["bound", ({ error }) => (error ? decidedError(error).bound : null)],
  ["fall", ({ fall }) => rounded(fall?.stops)],
  ["placement", placementCell],
  ["cause", ({ causes }) => causes[0]?.code ?? null],
  ["words", ({ feedback, failure }) => failure?.message ?? feedback?.text ?? null],
];

/** A single tone is a number to calculate with; a range is text. */
/** A range begins with a word, since a sign at its front would make it a formula. */
function placementCell({ placement }: FrameResult): string | number | null {
  if (!placement) return null;
  return placement.from === placement.to
    ? rounded(placement.from)
    : `from ${placementText(placement)}`;
}

const COLUMNS: readonly CsvColumn<FrameResult>[] = [
  ["file", ({ file }) => file],
  ["basis", ({ basis }) => basis],
  ["verdict", ({ verdict }) => verdict],
  ["placement_from_stops", ({ placement }) => placement?.from ?? null],
  ["placement_to_stops", ({ placement }) => placement?.to ?? null],
  ["tolerance_stops", ({ tolerance }) => tolerance],
  ["region", ({ region }) => region],
  ["fall_stops", ({ fall }) => fall?.stops ?? null],
  ["fall_median_stops", ({ fall }) => fall?.median ?? null],
  ["fall_p5_stops", ({ fall }) => fall?.p5 ?? null],
  ["fall_p95_stops", ({ fall }) => fall?.p95 ?? null],
  ["error_stops", ({ error }) => (error ? decidedError(error).stops : null)],
  ["error_uncertainty_stops", ({ error }) => error?.uncertainty ?? null],
  ["error_bound", ({ error }) => (error ? decidedError(error).bound : null)],
  ["error_decided_by", ({ error }) => error?.decidedBy ?? null],
  ["clipped_share", ({ clipped }) => clipped?.share ?? null],
  ["crushed_share", ({ crushed }) => crushed?.share ?? null],
  ["aperture", ({ exposure }) => exposure?.aperture.value ?? null],
  ["shutter_seconds", ({ exposure }) => exposure?.shutter.value ?? null],
  ["iso", ({ exposure }) => exposure?.iso.value ?? null],
  ["compensation_stops", ({ exposure }) => exposure?.compensation.value ?? null],
  ["metering_pattern", ({ exposure }) => exposure?.meteringPattern.value ?? null],
  ["given_exposure_stops", ({ givenExposure }) => givenExposure],
  ["make", ({ exposure }) => exposure?.make.value ?? null],
  ["model", ({ exposure }) => exposure?.model.value ?? null],
  ["captured_at", ({ exposure }) => exposure?.capturedAt.value ?? null],
  ["notes", ({ notes }) => notes.map(({ code }) => code).join(" ")],
  ["failure", ({ failure }) => failure?.code ?? null],
];

/** Where grades in words are wanted. */
const WORDS: typeof COLUMNS = [
  ["causes", ({ causes }) => causes.map(({ code }) => code).join(" ")],
  ["feedback", ({ feedback }) => feedback?.text ?? null],
  ["cautions", ({ feedback }) => feedback?.cautions.join(" ") ?? null],
];

/** Where rows of several runs are joined. */
const RUN: CsvColumn<FrameResult> = ["run", ({ run }) => run ?? null];

/** Which rows are to be written as CSV. */
export interface GradeCsvFlags extends CsvFlags {
  /** Whether the rows carry their grades in words. */
  readonly spoken: boolean;
  /** Whether the rows are of several runs. */
  readonly joined?: boolean;
}

/** Graded rows as comma-separated values: columns for people, or those that are named. */
export function gradeCsv({
  spoken,
  joined = false,
  ...flags
}: GradeCsvFlags): RowWriter<FrameResult> {
  const first = joined ? [RUN] : [];
  // A column that is named is given whether or not it has anything to say.
  const named = flags.columns !== undefined && flags.columns[0] !== "all";
  const all = [...COLUMNS, ...(spoken || named ? WORDS : []), ...(named ? [RUN] : first)];
  return csvWriter({ forPeople: [...first, ...FOR_PEOPLE], all }, flags, (row: FrameResult) => [
    row,
  ]);
}
