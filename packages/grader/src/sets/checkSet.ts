import { join, relative } from "node:path";
import {
  CHECK_VERSION,
  type CheckedSet,
  type CheckResult,
  type Shard,
  summariseCheck,
} from "../model/checkResult.ts";
import { type DecodeLimits, givenLimits } from "../picture/decodeLimits.ts";
import { findFrames } from "../run/findFrames.ts";
import type { RowMemory } from "../run/memory/rowMemory.ts";
import { judgeSet } from "./judgeSet.ts";
import { type CheckWatch, measureSet } from "./measureSet.ts";
import { readSet } from "./readSet.ts";
import type { ReadySet } from "./readySet.ts";
import { summedCheck } from "./summedCheck.ts";
import { unitBlock } from "./unitBlock.ts";

/** How sets are checked. */
export interface CheckOptions extends DecodeLimits {
  /**
   * Which part to run; {@link mergeChecks} joins the parts.
   * @default everything
   */
  readonly shard?: Shard | null;
  /**
   * How many frames are measured at once.
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
 * @param paths - set files
 * @throws {@link GraderError} `bad-set` where one of them is wrong, before any picture is opened
 *
 * @example
 * ```ts
 * const { summary } = await checkSets(["samples/harbour/set.yaml"]);
 * summary.failing; // => 0
 * ```
 */
export async function checkSets(
  paths: readonly string[],
  { shard = null, jobs, memory = [], processes, watch = null, ...rest }: CheckOptions = {},
): Promise<CheckResult> {
  const sets: ReadySet[] = [];
  for (const path of paths) sets.push((await readSet(path)).set);
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
      ...givenLimits(rest),
    });
    const extras = units.some(({ kind }) => kind === "extras") ? await extraFiles(set, named) : [];
    checked.push(judgeSet(set, units, facts, extras));
  }
  const summary = summariseCheck(checked);
  const block = shard && part.block && { ...shard, ...part.block };
  return summedCheck({ schemaVersion: CHECK_VERSION, sets: checked, summary }, block);
}

/** {@link checkSets} for one set file. */
export async function checkSet(path: string, options: CheckOptions = {}): Promise<CheckResult> {
  return checkSets([path], options);
}

/** Pictures in a set's folder that no checked set names, as paths from that folder. */
async function extraFiles({ folder }: ReadySet, named: ReadonlySet<string>): Promise<string[]> {
  const { frames } = await findFrames([folder]);
  return frames
    .filter(({ path }) => !named.has(join(path)))
    .map(({ path }) => relative(folder, path).replaceAll("\\", "/"));
}
