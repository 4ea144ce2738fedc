import { stat } from "node:fs/promises";
import { extname } from "node:path";
import { RAW_EXTENSIONS } from "@tonefall/exif-reader";
import type { Source } from "../picture/source/openSource.ts";
import { LONG_BYTES } from "./longBytes.ts";

/** Files whose sizes are read, spread over a run. */
const LOOKED_AT = 8;

/** Whether frames are many and large enough that processes beside this one grade them sooner, on most machines. */
export async function lastsLong(sources: Iterable<Source>): Promise<boolean> {
  return (await bytesForProcesses(sources)) >= LONG_BYTES;
}

/**
 * Bytes of the files of a run that processes can grade; 0 where there is nothing for them to do.
 *
 * Never with raw files among them: threads of this process decode those already, and each process would take another
 * 120 MB for them.
 */
export async function bytesForProcesses(sources: Iterable<Source>): Promise<number> {
  if (!Array.isArray(sources) || sources.length < 2) return 0;
  const step = Math.max(1, sources.length / LOOKED_AT);
  let bytes = 0;
  let looked = 0;
  for (let place = 0; place < sources.length; place += step) {
    const source = sources[Math.floor(place)] as Source;
    if (isNamedRaw(source)) return 0;
    bytes += await lengthOf(source);
    looked++;
  }
  return (bytes / looked) * sources.length;
}

function isNamedRaw(source: Source): boolean {
  if (source instanceof Uint8Array) return false;
  const extension = extname(source instanceof URL ? source.pathname : source);
  return RAW_EXTENSIONS.has(extension.toLowerCase());
}

/** Bytes of a file that another process can open; 0 for anything else. */
async function lengthOf(source: Source): Promise<number> {
  if (source instanceof Uint8Array) return 0;
  try {
    const entry = await stat(source);
    return entry.isFile() ? entry.size : 0;
  } catch {
    return 0;
  }
}
