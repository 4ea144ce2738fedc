import type {
  CheckedSet,
  CheckResult,
  CheckRow,
  CheckSummary,
  Outcome,
} from "../../model/checkResult.ts";
import { countText, safeText } from "../../model/words.ts";

/** A row with the set it belongs to. */
export interface PlacedRow {
  readonly set: CheckedSet;
  readonly row: CheckRow;
}

/** The rows of a check, set by set. */
export function placedRows({ sets }: Pick<CheckResult, "sets">): PlacedRow[] {
  return sets.flatMap((set) => set.rows.map((row) => ({ set, row })));
}

/** A row for people, who read each cause once. */
export interface FoldedRow {
  readonly row: CheckRow;
  /** Claims that could not be checked for this row's reason alone, and have no row of their own here. */
  readonly resting: readonly CheckRow[];
}

/** The same with its set. */
export type ReadableRow = PlacedRow & FoldedRow;

/**
 * The rows of a check that people read: a frame that could not be read is one row, whatever number of claims depend on it.
 * Formats for machines have a row for each claim.
 */
export function readableRows(result: Pick<CheckResult, "sets">): ReadableRow[] {
  return result.sets.flatMap((set) => foldedRows(set.rows).map((folded) => ({ set, ...folded })));
}

/** The rows of a set, or of one frame of it, as people read them. */
export function foldedRows(rows: readonly CheckRow[]): FoldedRow[] {
  const unread = new Map(
    rows
      .filter(({ kind, outcome }) => kind === "file" && outcome === "not run")
      .flatMap((row) => row.frames.map((frame) => [frame, row] as const)),
  );
  const causeOf = (row: CheckRow): CheckRow | undefined =>
    row.outcome === "not run" && row.kind !== "file"
      ? row.frames.map((frame) => unread.get(frame)).find((cause) => cause?.code === row.code)
      : undefined;
  const resting = new Map<CheckRow, CheckRow[]>();
  for (const row of rows) {
    const cause = causeOf(row);
    if (cause) resting.set(cause, [...(resting.get(cause) ?? []), row]);
  }
  return rows
    .filter((row) => !causeOf(row))
    .map((row) => ({ row, resting: resting.get(row) ?? [] }));
}

/** How many claims rest on a row, as a sentence. */
export function restingText(count: number): string {
  return count === 1 ? "1 claim depends on it." : `${count} claims depend on it.`;
}

/** What became of a claim, in a sentence, with the number of claims that could not be checked for the same reason. */
export function readableSentence({ row, resting }: FoldedRow): string {
  if (resting.length === 0) return safeText(row.sentence);
  return `${safeText(row.sentence).replace(/\.$/, "")}. ${restingText(resting.length)}`;
}

/** Outcomes as people read them; data hold the codes. */
const OUTCOME_WORDS: Readonly<Record<Outcome, string>> = {
  kept: "kept",
  missed: "not kept",
  undecided: "cannot tell",
  "not run": "not run",
};

/** How a row reads to people: allowed outcomes say so. */
export function checkOutcomeText({ outcome, fails }: CheckRow): string {
  const word = OUTCOME_WORDS[outcome];
  return outcome === "kept" || fails ? word : `${word}, allowed`;
}

/** What a row comes to, with the numbers that it rests on, or the picture that is not there, and its code. */
export function rowText({ row }: PlacedRow): string {
  return `${safeText(row.sentence)}${restsOn(row)} [${row.code}]`;
}

/** The same for people: a row that stands for others says how many. */
export function readableRowText(row: FoldedRow): string {
  return `${readableSentence(row)}${restsOn(row.row)} [${row.row.code}]`;
}

function restsOn({ kind, expected, measured }: CheckRow): string {
  if (measured !== null) return safeText(` Expected ${expected}; measured ${measured}.`);
  return kind === "file" ? safeText(` (Expected ${expected}.)`) : "";
}

/** Where a row's claim stands: `samples/set.yaml:12:7`. */
export function rowPlace({ set, row }: PlacedRow): string {
  return safeText(`${set.file}:${row.line}:${row.column}`);
}

/** A check in one line: `2 sets, 104 claims: 101 kept, 3 not kept`. */
export function checkSummaryText(sets: number, summary: CheckSummary): string {
  const { claims, kept, missed, undecided, notRun } = summary;
  const parts = [
    [kept, OUTCOME_WORDS.kept],
    [missed, OUTCOME_WORDS.missed],
    [undecided, OUTCOME_WORDS.undecided],
    [notRun, OUTCOME_WORDS["not run"]],
  ] as const;
  const counts = parts.filter(([count]) => count > 0).map(([count, word]) => `${count} ${word}`);
  return `${countText(sets, "set")}, ${countText(claims, "claim")}: ${counts.join(", ") || "nothing"}`;
}
