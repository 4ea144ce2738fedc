import { join } from "node:path";
import type { CheckBlock, Shard } from "../model/checkResult.ts";
import { shardBlock, weightsOf } from "../run/shardBlock.ts";
import { asksByFrame } from "./measureSet.ts";
import type { ReadySet } from "./readySet.ts";
import { type Unit, unitsOf } from "./units.ts";

/** What a part of a check runs. */
export interface UnitBlock {
  /** Units of each set, in the order of the sets. */
  readonly units: readonly (readonly Unit[])[];
  /** Where they stand among the units of all sets; null where everything is run. */
  readonly block: CheckBlock | null;
}

/** The units that a part of a check is to run: neighbours, weighed by the files that they open, so that parts take about equally long. */
export async function unitBlock(
  sets: readonly ReadySet[],
  shard: Shard | null,
): Promise<UnitBlock> {
  const all = sets.map(unitsOf);
  if (shard === null) return { units: all, block: null };
  const weights: number[] = [];
  for (const [i, units] of all.entries()) {
    weights.push(...(await unitWeights(sets[i] as ReadySet, units)));
  }
  const { from, to } = shardBlock(weights, shard);
  let before = 0;
  const units = all.map((own) => {
    const start = before;
    before += own.length;
    return own.slice(Math.max(0, from - start), Math.max(0, to - start));
  });
  return { units, block: { units: weights.length, first: from + 1, last: to } };
}

async function unitWeights(
  { folder, frames }: ReadySet,
  units: readonly Unit[],
): Promise<readonly number[]> {
  const ofFrames = await weightsOf(frames.map(({ file }) => join(folder, file)));
  const weights = new Map(frames.map(({ id }, i) => [id, ofFrames[i] ?? 0]));
  return units.map((unit) =>
    [...asksByFrame([unit]).keys()].reduce((sum, id) => sum + (weights.get(id) ?? 0), 1),
  );
}
