import type { FrameResult, RowShard } from "../model/result.ts";
import { digestOf } from "./memory/claimDigest.ts";

/** A row of one part of a run, with a checksum of its content. */
export function summedRow(row: FrameResult, shard: Omit<RowShard, "sum">): FrameResult {
  return { ...row, shard: { ...shard, sum: digestOf({ ...row, shard }) } };
}

/** Whether a row of a part is as it was written. */
export function isAsWritten(row: FrameResult): boolean {
  if (!row.shard) return false;
  const { sum, ...shard } = row.shard;
  return digestOf({ ...row, shard }) === sum;
}
