import { readFileSync, statSync } from "node:fs";
import { appendFile, writeFile } from "node:fs/promises";
import { join } from "node:path";

/** The file of a cache's folder that says which runs it holds the rows of: a digest to a line, the last run last. */
export const LAST_RUNS = "last-runs";

/** Some thousand runs; then the file is begun anew. */
const MOST_BYTES = 2 ** 16;

const DIGESTS = /^(?:[0-9a-f]{64}\n)*$/;

/**
 * Whether a run was noted in a cache's folder. Its rows may have been removed since.
 *
 * @param run - its digest
 */
export function isNoted(folder: string, run: string): boolean {
  return notedIn(folder)?.includes(run) ?? false;
}

/** Notes a run whose rows a cache has kept; where the folder cannot be written, or is not there, nothing is noted. */
export async function noteRun(folder: string, run: string): Promise<void> {
  const noted = notedIn(folder);
  // Somebody else's file stays.
  if (noted === null || noted.includes(run)) return;
  const write = noted.length < MOST_BYTES ? appendFile : writeFile;
  await write(join(folder, LAST_RUNS), `${run}\n`).catch(() => {});
}

/** The digests noted; none where there is no file, and null where it holds anything else. */
function notedIn(folder: string): string | null {
  const path = join(folder, LAST_RUNS);
  const entry = statSync(path, { throwIfNoEntry: false });
  if (!entry) return "";
  // Reading a pipe or a device might wait for ever.
  if (!entry.isFile() || entry.size > 2 * MOST_BYTES) return null;
  const text = readFileSync(path, "latin1");
  return DIGESTS.test(text) ? text : null;
}
