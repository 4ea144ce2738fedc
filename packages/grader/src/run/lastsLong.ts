import { stat } from "node:fs/promises";
import type { Source } from "../decode/openSource.ts";

/** Files that are looked at, spread over a run. */
const LOOKED_AT = 8;

/** Bytes of files from which processes beside this one make good the time that they take to start. */
const LONG_BYTES = 96e6;

/** Whether frames are so many, and so large, that processes beside this one grade them sooner. */
export async function lastsLong(sources: Iterable<Source>): Promise<boolean> {
  if (!Array.isArray(sources) || sources.length < 2) return false;
  const step = Math.max(1, sources.length / LOOKED_AT);
  let bytes = 0;
  let looked = 0;
  for (let place = 0; place < sources.length; place += step) {
    bytes += await lengthOf(sources[Math.floor(place)] as Source);
    looked++;
  }
  return (bytes / looked) * sources.length >= LONG_BYTES;
}

/** Length of a file that another process can open, 0 for any other. */
async function lengthOf(source: Source): Promise<number> {
  if (source instanceof Uint8Array) return 0;
  try {
    const entry = await stat(source);
    return entry.isFile() ? entry.size : 0;
  } catch {
    return 0;
  }
}
