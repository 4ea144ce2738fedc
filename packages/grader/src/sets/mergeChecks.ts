import { posix } from "node:path";
import { type CheckedSet, type CheckResult, summariseCheck } from "../model/checkResult.ts";
import { GraderError } from "../model/errors.ts";
import { sharedFolder } from "../model/sharedFolder.ts";
import { isCheckAsWritten, summedCheck } from "./summedCheck.ts";

/**
 * Joins the parts of a sharded check into the result of one run.
 *
 * @param parts - every part once, in any order; or one whole result
 * @throws {@link GraderError} `bad-option` where parts are missing, repeated, damaged or of different checks
 */
export function mergeChecks(parts: readonly CheckResult[]): CheckResult {
  const [first, ...rest] = [...parts].sort((a, b) => (a.shard?.index ?? 0) - (b.shard?.index ?? 0));
  if (!first) throw unmergeable("none were given");
  requireWhole(parts);
  const damaged = parts.find((part) => !isCheckAsWritten(part))?.shard;
  if (damaged) {
    throw unmergeable(`part ${damaged.index}/${damaged.of} is damaged; run that part again`);
  }
  if (rest.some((part) => whichSets(part) !== whichSets(first)))
    throw unmergeable("they are parts of different sets");
  requireEdges([first, ...rest]);
  const sets = first.sets.map(
    (set, i): CheckedSet => ({
      ...set,
      rows: [first, ...rest]
        .flatMap((part) => part.sets[i]?.rows ?? [])
        .sort((a, b) => a.unit - b.unit),
    }),
  );
  return summedCheck(
    { schemaVersion: first.schemaVersion, sets, summary: summariseCheck(sets) },
    null,
  );
}

/** The sets of a part: what they say, and their files below the folder, which machines may reach by different paths. */
function whichSets({ sets }: CheckResult): string {
  const shared = sharedFolder(sets.map(({ file }) => file));
  const name = (file: string): string =>
    sets.length === 1 ? posix.basename(file) : file.slice(shared.length);
  return JSON.stringify(sets.map(({ file, sha256 }) => [name(file), sha256]));
}

function requireWhole(parts: readonly CheckResult[]): void {
  if (parts.length === 1 && parts[0]?.shard === null) return;
  const of = parts[0]?.shard?.of;
  if (of === undefined || parts.some(({ shard }) => shard?.of !== of)) {
    throw unmergeable("they are not parts of one check");
  }
  const indices = new Set(parts.map(({ shard }) => shard?.index));
  if (indices.size !== parts.length) throw unmergeable("one of them was given twice");
  const missing = Array.from({ length: of }, (_, i) => i + 1).filter(
    (index) => !indices.has(index),
  );
  if (missing.length > 0) {
    throw unmergeable(`${missing.map((index) => `${index}/${of}`).join(", ")} is not among them`);
  }
}

/** Refuses parts whose edges do not meet: what was checked would come twice, or be missing. */
function requireEdges(parts: readonly CheckResult[]): void {
  let next = 1;
  for (const { shard } of parts) {
    if (!shard) return;
    const { index, of, units, first, last } = shard;
    if (first !== next || (index === of && last !== units)) {
      throw unmergeable(
        `part ${index}/${of} does not begin where the part before ends, or stops short: files changed between the parts. Run all parts again`,
      );
    }
    next = last + 1;
  }
}

function unmergeable(why: string): GraderError {
  return new GraderError(
    "bad-option",
    `Expected every part of one sharded check to merge, but ${why}`,
  );
}
