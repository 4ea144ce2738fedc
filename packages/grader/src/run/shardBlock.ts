import { stat } from "node:fs/promises";
import { pMapIterable } from "p-map";
import type { Shard } from "../model/checkResult.ts";
import type { Source } from "../picture/source/openSource.ts";

/** What a frame costs whatever its size, as bytes: opening it, and its row. Our judgement. */
const BYTES_OF_A_ROW = 65_536;

/** Files whose sizes are asked for at once. */
const ASKED_AT_ONCE = 32;

/**
 * The frames of one part of a run: a block of neighbours in the order of the run, since causes depend on the frames
 * before, and raw and rendered files of a pair lie side by side. Blocks weigh about the same, and where all frames weigh
 * the same they differ by one frame at most.
 *
 * @param weights - of all frames of the run, whole numbers above 0
 * @returns the first frame of the block and the one after its last, from 0
 *
 * @example
 * ```ts
 * shardBlock([1, 1, 1, 1, 4], { index: 2, of: 2 }); // => { from: 4, to: 5 }
 * ```
 */
export function shardBlock(
  weights: readonly number[],
  { index, of }: Shard,
): { readonly from: number; readonly to: number } {
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const end = (part: number): number => {
    if (part === of) return weights.length;
    let before = 0;
    let frame = 0;
    for (const weight of weights) {
      // A frame belongs where its middle lies.
      if ((before + weight / 2) * of > part * total) break;
      before += weight;
      frame++;
    }
    return frame;
  };
  return { from: end(index - 1), to: end(index) };
}

/** What frames weigh in a run that is split: the bytes of their files. What is not a file weighs as little as a row. */
export async function weightsOf(sources: readonly Source[]): Promise<number[]> {
  const weights: number[] = [];
  const asked = pMapIterable(sources, weightOf, { concurrency: ASKED_AT_ONCE });
  for await (const weight of asked) weights.push(weight);
  return weights;
}

async function weightOf(source: Source): Promise<number> {
  if (source instanceof Uint8Array) return BYTES_OF_A_ROW + source.length;
  try {
    const entry = await stat(source);
    return BYTES_OF_A_ROW + (entry.isFile() ? entry.size : 0);
  } catch {
    return BYTES_OF_A_ROW;
  }
}
