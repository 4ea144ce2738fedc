import { open, readdir } from "node:fs/promises";
import { join } from "node:path";
import { GraderError } from "../model/errors.ts";
import { isFolder } from "../run/findFrames.ts";

/** How many bytes at the start of a file show whether it is a set. */
const HEAD_BYTES = 16_384;

/**
 * The set files that a path names: the file itself, or those in a folder.
 *
 * @throws {@link GraderError} `bad-set` where a folder holds no set file
 */
export async function setFilesAt(path: string): Promise<readonly string[]> {
  if (!(await isFolder(path))) return [path];
  const found: string[] = [];
  for (const name of (await readdir(path)).sort()) {
    const file = join(path, name);
    if (/\.(?:ya?ml|json)$/i.test(name) && (await namesASet(file))) found.push(file);
  }
  if (found.length > 0) return found;
  throw new GraderError(
    "bad-set",
    `Expected a set file in ${path} but found none; tonefall new-set ${path} writes a first one`,
  );
}

/** Whether a file begins as a set file does: with the key `set` at its left edge, or as JSON's first key. */
async function namesASet(path: string): Promise<boolean> {
  const file = await open(path).catch(() => null);
  if (!file) return false;
  try {
    const { buffer, bytesRead } = await file.read(Buffer.alloc(HEAD_BYTES), 0, HEAD_BYTES, 0);
    return /^(?:\{\s{0,8})?["']?set["']?\s{0,8}:/m.test(buffer.toString("utf8", 0, bytesRead));
  } catch {
    return false;
  } finally {
    await file.close();
  }
}
