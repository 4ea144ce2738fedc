import { stat } from "node:fs/promises";
import { extname } from "node:path";
import { RAW_EXTENSIONS } from "@tonefall/exif-reader";
import type { Source } from "../picture/source/openSource.ts";

/** Files whose sizes are read, spread over a run. */
const LOOKED_AT = 8;

/**
 * Bytes of files from which starting processes pays. Measured on two processors, where the command gains from 40 MB, and a
 * program that has loaded its decoders from 80.
 */
const LONG_BYTES = 64e6;

/**
 * Whether frames are many and large enough that processes beside this one grade them sooner.
 *
 * Never with raw files among them: threads of this process decode those already, and each process would take another
 * 120 MB for them.
 */
export async function lastsLong(sources: Iterable<Source>): Promise<boolean> {
  return isLong(await bytesOfRun(sources));
}

/** Whether so many bytes of files are graded sooner by processes beside this one. */
export function isLong(bytes: number): boolean {
  return bytes >= LONG_BYTES;
}

/** About how many bytes of files a run decodes; 0 where processes are no help. */
export async function bytesOfRun(sources: Iterable<Source>): Promise<number> {
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
