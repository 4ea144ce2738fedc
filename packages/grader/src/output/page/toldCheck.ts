import type { CheckedSet, CheckResult, CheckRow } from "../../model/checkResult.ts";
import { judgeSet } from "../../sets/judgeSet.ts";
import { readableRows } from "../text/checkWords.ts";
import type { ToldClaim } from "./checkOverview.ts";
import { relationSheet } from "./checkSheets.ts";
import type { PageFrame } from "./pageFrame.ts";
import { SHEET_WORDS, type Sheet } from "./sheets.ts";
import type { ShownSet } from "./shownSets.ts";

/** A check as its pages tell it. */
export interface ToldCheck {
  readonly sets: readonly CheckedSet[];
  /** Relations as frames side by side. */
  readonly sheets: readonly Sheet[];
  readonly claims: readonly ToldClaim[];
}

/**
 * Puts what a check found in the order and under the names in which its pages tell it.
 *
 * @param shown - the sets of the result, in its order, with all frames that were seen
 */
export function toldCheck(
  shown: readonly ShownSet[],
  result: CheckResult,
  anonymous: boolean,
): ToldCheck {
  const sets = result.sets.map((checked, i): CheckedSet => {
    const { set } = shown[i] as ShownSet;
    const rows = namedRows(shown[i] as ShownSet, checked, anonymous);
    return { ...checked, file: set.path, name: set.name, rows };
  });
  const sheets = sets.flatMap(({ rows }, i) => sheetsOf(shown[i] as ShownSet, rows, i));
  const claims = sets.flatMap((set, i) =>
    readableRows({ sets: [set] }).map(({ row, resting }) => ({
      ...claimOf(row, shown[i] as ShownSet, sheets, i),
      resting,
    })),
  );
  return { sets, sheets, claims: claims.map((claim, i) => ({ ...claim, number: i + 1 })) };
}

/** The rows of a checked set as the page tells them. */
function namedRows({ set, units, facts }: ShownSet, checked: CheckedSet, anonymous: boolean) {
  if (!anonymous) return checked.rows;
  const ran = new Set(checked.rows.map(({ unit }) => unit));
  const extras = checked.rows.filter(({ code }) => code === "extra-file");
  return judgeSet(
    set,
    units.filter(({ unit }) => ran.has(unit)),
    facts,
    extras.map((_, i) => `extra file ${i + 1}`),
  ).rows;
}

function sheetsOf(
  { set, units, frames, facts }: ShownSet,
  rows: readonly CheckRow[],
  index: number,
): Sheet[] {
  const byName = new Map([...frames.values()].map(({ frame }) => [frame.name, frame]));
  return units.flatMap((one) => {
    if (one.kind !== "relation") return [];
    const own = rows.filter(({ unit }) => unit === one.unit);
    const id = sheetId(index, one.unit - set.frames.length);
    const shown = { facts, frameOf: (name: string) => byName.get(name) };
    return own.length > 0 ? (relationSheet(one.relation, id, own, shown) ?? []) : [];
  });
}

function sheetId(set: number, relation: number): string {
  return `set-${set + 1}-sheet-${relation + 1}`;
}

function claimOf(
  row: CheckRow,
  { set, frames }: ShownSet,
  sheets: readonly Sheet[],
  index: number,
): Omit<ToldClaim, "number" | "resting"> {
  const sheet = sheets.find(({ id }) => id === sheetId(index, row.unit - set.frames.length));
  const named = [...frames.values()]
    .filter(({ frame }) => row.frames.includes(frame.name))
    .sort((a, b) => a.frame.number - b.frame.number);
  const first = named[0]?.frame;
  const at = sheet
    ? { id: sheet.id, name: framesText(named.map(({ frame }) => frame)) }
    : first && { id: first.id, name: first.name };
  return {
    setName: set.name,
    setFile: set.path,
    row,
    title: titleOf(
      row,
      named.map(({ frame }) => frame),
    ),
    at: at ? { ...at, onSheet: sheet !== undefined } : null,
    frame: first ?? null,
  };
}

/** What a claim is about, as people say it. */
function titleOf({ kind, frames }: CheckRow, named: readonly PageFrame[]): string {
  const [first] = named;
  if (kind in SHEET_WORDS) {
    const { title } = SHEET_WORDS[kind as keyof typeof SHEET_WORDS];
    return named.length > 0 ? `${title}: ${framesText(named)}` : title;
  }
  if (first) return `Frame ${first.number}, ${first.name}`;
  return frames.length > 0 ? frames.join(", ") : "The set";
}

function framesText(frames: readonly PageFrame[]): string {
  return `${frames.length === 1 ? "frame" : "frames"} ${frames.map(({ number }) => number).join(", ")}`;
}
