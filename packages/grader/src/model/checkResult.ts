import type { Bound } from "@tonefall/tone-core";
import type { Basis } from "./result.ts";

/** Things that are no miss where a set allows them. */
export const ALLOWANCES = ["undecided", "extra-file"] as const;

/** One of {@link ALLOWANCES}. */
export type Allowance = (typeof ALLOWANCES)[number];

/** Version of the shape of check results; a change that breaks a reader raises it. */
export const CHECK_VERSION = 1;

/** What became of a claim. */
export const OUTCOMES = ["kept", "missed", "undecided", "not run"] as const;

/** One of {@link OUTCOMES}. */
export type Outcome = (typeof OUTCOMES)[number];

/** What a row of a check is about. */
export const ROW_KINDS = [
  "falls",
  "error",
  "record",
  "reading",
  "unclipped",
  "as-shot",
  "kit",
  "bracket",
  "equivalent",
  "recompose",
  "correction",
  "same-rendering",
  "tonal-pair",
  "pin",
  "file",
] as const;

/** One of {@link ROW_KINDS}. */
export type RowKind = (typeof ROW_KINDS)[number];

/** One claim, and what became of it. */
export interface CheckRow {
  /** The claim's name within its set; a relation's parts follow it after a slash. */
  readonly id: string;
  /** Kind of the claim, or of what is checked without one being made. */
  readonly kind: RowKind;
  /** Frames that it is about. */
  readonly frames: readonly string[];
  /** What became of it. */
  readonly outcome: Outcome;
  /** Stable reason; branch on this, never on the sentence. */
  readonly code: string;
  /** What was claimed, in words. */
  readonly expected: string;
  /** What was found, in words; null where nothing was measured. */
  readonly measured: string | null;
  /** The same as numbers; null for claims that are not of stops. */
  readonly stops: CheckStops | null;
  /** One plain sentence. */
  readonly sentence: string;
  /** Line of the set file that the claim stands on, from 1. */
  readonly line: number;
  /** Its column, from 1. */
  readonly column: number;
  /** Whether the row makes the check fail; an outcome that the set allows does not. */
  readonly fails: boolean;
  /** Place of its frame or relation in the set, by which shards are joined. */
  readonly unit: number;
}

/** The numbers of a claim of stops. */
export interface CheckStops {
  /** Which stops all of these are in. */
  readonly basis: Basis;
  /** The lower end of what was claimed; null where it is open. */
  readonly from: number | null;
  /** The upper end; null where it is open. */
  readonly to: number | null;
  /** What was found. */
  readonly measured: number;
  /** Whether `measured` is only a bound; null where it is not. */
  readonly bound: Bound | null;
  /** One standard deviation. */
  readonly uncertainty: number;
  /** How far it may miss; 0 for claims of a direction. */
  readonly tolerance: number;
}

/** A checked set. */
export interface CheckedSet {
  /** The set file as given, with forward slashes. */
  readonly file: string;
  /** As the set file has it. */
  readonly name: string;
  /** SHA-256 of the set file, hexadecimal; shards of one check agree on it. */
  readonly sha256: string;
  /** What it does not count as missed. */
  readonly allow: readonly Allowance[];
  /** In the order of the set file. */
  readonly rows: readonly CheckRow[];
}

/** Which part of a check was run. */
export interface Shard {
  /** From 1. */
  readonly index: number;
  /** How many parts there are. */
  readonly of: number;
}

/** Counts over a check. */
export interface CheckSummary {
  /** All rows. */
  readonly claims: number;
  /** Rows that hold. */
  readonly kept: number;
  /** Rows that do not. */
  readonly missed: number;
  /** Rows that cannot be decided. */
  readonly undecided: number;
  /** Rows whose frames could not be read. */
  readonly notRun: number;
  /** Rows that make the check fail. */
  readonly failing: number;
}

/** Where a part stands among the frames, relations and folders of all sets of a check. */
export interface CheckBlock {
  /** How many there are in all. */
  readonly units: number;
  /** Place of the part's first, from 1. */
  readonly first: number;
  /** Place of its last; one less than `first` in a part that has none. */
  readonly last: number;
}

/** Which part of a check a result is. */
export interface CheckShard extends Shard, CheckBlock {
  /** SHA-256 of all else that the result says but its view, hexadecimal: of a part that is damaged, nothing is believed. */
  readonly sum: string;
}

/** What a check gives: the shape of its JSON. */
export interface CheckResult {
  /** Version of this shape. */
  readonly schemaVersion: typeof CHECK_VERSION;
  /** In the order they were given. */
  readonly sets: readonly CheckedSet[];
  /** Null where everything was run. */
  readonly shard: CheckShard | null;
  /** Counts over all sets. */
  readonly summary: CheckSummary;
  /**
   * What a report shows of the pictures, as `check --for-report` keeps it for the report that `merge` writes; left out
   * unless asked for. Its shape may change with any version.
   */
  readonly view?: object;
}

/** Counts a check's rows by what became of them. */
export function summariseCheck(sets: readonly CheckedSet[]): CheckSummary {
  const rows = sets.flatMap((set) => set.rows);
  const count = (outcome: Outcome): number => rows.filter((row) => row.outcome === outcome).length;
  return {
    claims: rows.length,
    kept: count("kept"),
    missed: count("missed"),
    undecided: count("undecided"),
    notRun: count("not run"),
    failing: rows.filter(({ fails }) => fails).length,
  };
}
