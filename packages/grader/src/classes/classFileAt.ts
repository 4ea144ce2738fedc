import { open, readdir, stat } from "node:fs/promises";
import { join } from "node:path";
import { GraderError } from "../model/errors.ts";

/** How many bytes at the start of a file show whether it is a class. */
const HEAD_BYTES = 16_384;

/**
 * The class file that a path names: the file itself, or the one in a folder.
 *
 * @throws {@link GraderError} `bad-class` where a folder holds none, or several
 */
export async function classFileAt(path: string): Promise<string> {
  const isFolder = await stat(path).then(
    (found) => found.isDirectory(),
    () => false,
  );
  if (!isFolder) return path;
  const found: string[] = [];
  for (const name of (await readdir(path)).sort()) {
    if (/\.(?:ya?ml|json)$/i.test(name) && (await namesAClass(join(path, name)))) {
      found.push(join(path, name));
    }
  }
  const [first, ...others] = found;
  if (first === undefined) {
    throw new GraderError(
      "bad-class",
      `Expected a class file in ${path} but found none; tonefall class new ${path} writes a first one`,
    );
  }
  if (others.length > 0) {
    throw new GraderError(
      "bad-class",
      `Expected one class file in ${path} but found ${found.length}: ${found.join(", ")}; name the one to use`,
    );
  }
  return first;
}

/** Whether a file begins as a class file does: with the key `class` at its left edge, or as JSON's first key. */
async function namesAClass(path: string): Promise<boolean> {
  const file = await open(path).catch(() => null);
  if (!file) return false;
  try {
    const { buffer, bytesRead } = await file.read(Buffer.alloc(HEAD_BYTES), 0, HEAD_BYTES, 0);
    return /^(?:\{\s{0,8})?["']?class["']?\s{0,8}:/m.test(buffer.toString("utf8", 0, bytesRead));
  } catch {
    return false;
  } finally {
    await file.close();
  }
}
