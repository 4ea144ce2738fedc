import { open, readdir } from "node:fs/promises";
import { extname, join, resolve } from "node:path";
import { PICTURE_EXTENSIONS } from "@tonefall/exif-reader";
import { GraderError } from "../model/errors.ts";
import { isFolder } from "../run/findFrames.ts";

/** How many bytes at the start of a file show whether it is a set. */
const HEAD_BYTES = 16_384;

/**
 * The set files that paths name: files themselves, and those in folders. A file named twice is taken once.
 *
 * @throws {@link GraderError} `bad-set` where a folder holds no set file, or a path is that of a picture
 */
export async function setFilesAt(paths: readonly string[]): Promise<readonly string[]> {
  const found = new Map<string, string>();
  for (const path of paths) {
    for (const file of await setFilesOf(path)) {
      if (!found.has(resolve(file))) found.set(resolve(file), file);
    }
  }
  return [...found.values()];
}

async function setFilesOf(path: string): Promise<readonly string[]> {
  if (PICTURE_EXTENSIONS.has(extname(path).toLowerCase())) {
    throw refusal(
      `at ${path}, but that is named as a picture; name the set file that describes it`,
    );
  }
  if (!(await isFolder(path))) return [path];
  const names = await readdir(path).catch((cause) => {
    throw refusal(`in ${path}, but the folder cannot be read (${cause.code})`, cause);
  });
  const found = await setsAmong(path, names);
  if (found.length > 0) return found;
  const below = await setBelow(path);
  const help =
    below === null
      ? `tonefall new-set ${path} writes a first one`
      : `further down there is ${below}: name it, or its folder`;
  throw refusal(`in ${path} but found none; ${help}`);
}

async function setsAmong(folder: string, names: readonly string[]): Promise<string[]> {
  const found: string[] = [];
  for (const name of [...names].sort()) {
    const file = join(folder, name);
    if (/\.(?:ya?ml|json)$/i.test(name) && (await namesASet(file))) found.push(file);
  }
  return found;
}

/** A set file further down, to be named in a message; null where none can be found. */
async function setBelow(folder: string): Promise<string | null> {
  const names = await readdir(folder, { recursive: true }).catch(() => []);
  const own = names.filter((name) => !/(?:^|[\\/])(?:\.|node_modules[\\/])/.test(name));
  const [first = null] = await setsAmong(folder, own);
  return first;
}

function refusal(what: string, cause?: unknown): GraderError {
  return new GraderError("bad-set", `Expected a set file ${what}`, { cause });
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
