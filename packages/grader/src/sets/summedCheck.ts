import type { CheckResult, CheckShard } from "../model/checkResult.ts";
import { digestOf } from "../run/memory/claimDigest.ts";

/** A check's result; a part of one gets a checksum of everything in it. */
export function summedCheck(
  result: Omit<CheckResult, "shard" | "view">,
  shard: Omit<CheckShard, "sum"> | null,
): CheckResult {
  if (shard === null) return { ...result, shard };
  return { ...result, shard: { ...shard, sum: digestOf({ ...result, shard }) } };
}

/** Whether a part of a check is undamaged; a whole result has no checksum, and a view has its own. */
export function isCheckAsWritten({ shard, view: _, ...result }: CheckResult): boolean {
  if (shard === null) return true;
  const { sum, ...part } = shard;
  return digestOf({ ...result, shard: part }) === sum;
}
