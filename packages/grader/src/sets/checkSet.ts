import { join, relative } from "node:path";
import { fileURLToPath } from "node:url";
import {
  CHECK_VERSION,
  type CheckedSet,
  type CheckResult,
  type Shard,
  summariseCheck,
} from "../model/checkResult.ts";
import { GraderError } from "../model/errors.ts";
import { requireJobs } from "../model/requireJobs.ts";
import { type DecodeLimits, givenLimits } from "../picture/decodeLimits.ts";
import { findFrames } from "../run/findFrames.ts";
import type { RowMemory } from "../run/memory/rowMemory.ts";
import type { Abortable } from "../run/untilAborted.ts";
import { judgeSet } from "./judgeSet.ts";
import { type CheckWatch, measureSet } from "./measureSet.ts";
import { readSet } from "./readSet.ts";
import type { ReadySet } from "./readySet.ts";
import { summedCheck } from "./summedCheck.ts";
import { unitBlock } from "./unitBlock.ts";

/** How sets are checked. */
export interface CheckOptions extends DecodeLimits, Abortable {
  /**
   * Which part to run; {@link mergeChecks} joins the parts.
   * @default everything
   */
  readonly shard?: Shard | null;
  /**
   * How many frames are measured at once, a whole number from 1.
   * @default one for each processor
   */
  readonly jobs?: number;
  /**
   * Where measured rows are kept and looked up.
   * @default everything is measured
   */
  readonly memory?: readonly RowMemory[];
  /**
   * Decode and measure in other processes, as `gradeFrames` does; never with an observer.
   * @default true where a set takes long enough for that to pay
   */
  readonly processes?: boolean;
  /**
   * Observes frames while they are measured; {@link checkReport} makes one.
   * @default no observer
   */
  readonly watch?: CheckWatch | null;
}

/**
 * Checks whether the pictures of sample sets show what the set files claim.
 *
 * @param paths - set files, as paths or file URLs
 * @throws {@link GraderError} `bad-set` where one of them is wrong, before any picture is opened; `bad-option` where none is
 *   given, the shard is not a part of a whole, or jobs are no whole number from 1; the reason of
 *   `options.signal` when it aborts
 *
 * @example
 * ```ts
 * const { summary } = await checkSets(["samples/harbour/set.yaml"]);
 * summary.failing; // => 0
 * ```
 */
export async function checkSets(
  paths: readonly (string | URL)[],
  { shard = null, jobs, memory = [], processes, watch = null, signal, ...rest }: CheckOptions = {},
): Promise<CheckResult> {
  requireShard(shard);
  if (jobs !== undefined) requireJobs(jobs);
  const sets: ReadySet[] = [];
  for (const path of setPaths(paths)) sets.push((await readSet(path)).set);
  const named = new Set(
    sets.flatMap(({ folder, frames }) => frames.map(({ file }) => join(folder, file))),
  );
  watch?.begin(sets);
  const part = await unitBlock(sets, shard);
  const checked: CheckedSet[] = [];
  for (const [i, set] of sets.entries()) {
    const units = part.units[i] ?? [];
    const facts = await measureSet(set, units, {
      jobs,
      memory,
      processes,
      watch,
      signal,
      ...givenLimits(rest),
    });
    const extras = units.some(({ kind }) => kind === "extras") ? await extraFiles(set, named) : [];
    checked.push(judgeSet(set, units, facts, extras));
  }
  const summary = summariseCheck(checked);
  const block = shard && part.block && { ...shard, ...part.block };
  return summedCheck({ schemaVersion: CHECK_VERSION, sets: checked, summary }, block);
}

/** The paths of set files. Callers without types may hand over anything, and no set at all would pass unseen. */
function setPaths(given: readonly (string | URL)[]): string[] {
  if (!Array.isArray(given) || given.length === 0) {
    throw new GraderError(
      "bad-option",
      "Expected an array of at least one set file; call checkSet for a single one",
    );
  }
  return given.map((one: unknown) => {
    if (typeof one === "string") return one;
    if (one instanceof URL && one.protocol === "file:") return fileURLToPath(one);
    throw new GraderError(
      "bad-option",
      `Expected the path or file URL of a set file but received ${one instanceof URL ? one.protocol : typeof one}`,
    );
  });
}

/** Refuses a part that no run has: it would hold nothing, and pass. */
function requireShard(shard: Shard | null): void {
  if (shard === null) return;
  const { index, of } = shard;
  if (Number.isInteger(index) && Number.isInteger(of) && index >= 1 && index <= of) return;
  throw new GraderError(
    "bad-option",
    `Expected a shard from { index: 1, of: ${of} } to { index: ${of}, of: ${of} } but received { index: ${index}, of: ${of} }`,
  );
}

/** {@link checkSets} for one set file. */
export async function checkSet(
  path: string | URL,
  options: CheckOptions = {},
): Promise<CheckResult> {
  return checkSets([path], options);
}

/** Pictures in a set's folder that no checked set names, as paths from that folder. */
async function extraFiles({ folder }: ReadySet, named: ReadonlySet<string>): Promise<string[]> {
  const { frames } = await findFrames([folder]);
  return frames
    .filter(({ path }) => !named.has(join(path)))
    .map(({ path }) => relative(folder, path).replaceAll("\\", "/"));
}
