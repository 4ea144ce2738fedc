import type { Shard } from "../model/checkResult.ts";

/**
 * The frames of one part of a run: a block of neighbours in the order of the run, since causes depend on the frames
 * before, and raw and rendered files of a pair lie side by side. Blocks differ by one frame at most.
 *
 * @param frames - of the whole run
 * @returns the first frame of the block and the one after its last, from 0
 *
 * @example
 * ```ts
 * shardBlock(10, { index: 2, of: 3 }); // => { from: 3, to: 6 }
 * ```
 */
export function shardBlock(
  frames: number,
  { index, of }: Shard,
): { readonly from: number; readonly to: number } {
  const end = (part: number): number => Math.floor((part * frames) / of);
  return { from: end(index - 1), to: end(index) };
}
