import type { CheckedSet, CheckResult, CheckRow, CheckSummary } from "../set/checkResult.ts";
import { safeText } from "./words.ts";

/** A row with the set it belongs to. */
export interface PlacedRow {
  readonly set: CheckedSet;
  readonly row: CheckRow;
}

/** The rows of a check, set by set. */
export function placedRows({ sets }: Pick<CheckResult, "sets">): PlacedRow[] {
  return sets.flatMap((set) => set.rows.map((row) => ({ set, row })));
}

/** How a row reads to people: allowed outcomes say so. */
export function checkOutcomeText({ outcome, fails }: CheckRow): string {
  return outcome === "kept" || fails ? outcome : `${outcome}, allowed`;
}

/** What a row comes to, with the numbers that it rests on and its code. */
export function rowText({ row }: PlacedRow): string {
  const measured =
    row.measured === null ? "" : ` Expected ${row.expected}; measured ${row.measured}.`;
  return safeText(`${row.sentence}${measured} [${row.code}]`);
}

/** Where a row's claim stands: `samples/set.yaml:12:7`. */
export function rowPlace({ set, row }: PlacedRow): string {
  return safeText(`${set.file}:${row.line}:${row.column}`);
}

/** A check in one line: `2 sets, 104 claims: 101 kept, 3 missed`. */
export function checkSummaryText(sets: number, summary: CheckSummary): string {
  const { claims, kept, missed, undecided, notRun } = summary;
  const told = [
    [kept, "kept"],
    [missed, "missed"],
    [undecided, "undecided"],
    [notRun, "not run"],
  ] as const;
  const counts = told.filter(([count]) => count > 0).map(([count, word]) => `${count} ${word}`);
  return `${sets === 1 ? "1 set" : `${sets} sets`}, ${claims === 1 ? "1 claim" : `${claims} claims`}: ${counts.join(", ") || "nothing"}`;
}
