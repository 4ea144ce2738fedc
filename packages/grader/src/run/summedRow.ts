import type { FrameResult, RowShard } from "../model/result.ts";
import { digestOf } from "./memory/claimDigest.ts";

/** A row of a part of a run, with a checksum of all that it says. */
export function summedRow(row: FrameResult, shard: Omit<RowShard, "sum">): FrameResult {
  return { ...row, shard: { ...shard, sum: digestOf({ ...row, shard }) } };
}

/** Whether a row of a part is what was written. */
export function isAsWritten(row: FrameResult): boolean {
  if (!row.shard) return false;
  const { sum, ...shard } = row.shard;
  return digestOf({ ...row, shard }) === sum;
}
