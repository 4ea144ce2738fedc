import { randomBytes } from "node:crypto";
import { renameSync, rmSync, type Stats } from "node:fs";
import { open, readdir, realpath, rm, stat, writeFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import type { WritePlace } from "./writePlace.ts";

const NEW_FILE = 0o666;

/**
 * Writes a file from pieces of text, or of bytes: beside its place first, and into it when all of them have come and are on the disk.
 * What stood there before stays until then, and keeps its permissions. A link is followed; a device or a pipe is written as
 * it is. What a killed process left half-written in the same folder is taken away after a day.
 *
 * @throws {@link GraderError} `would-overwrite` where something came there meanwhile that has to stay
 * @throws the file system's error, or that of the pieces; the file is then as it was
 */
export async function writeWhole(
  place: WritePlace,
  texts: Iterable<string | Uint8Array> | AsyncIterable<string | Uint8Array>,
): Promise<void> {
  const { path } = place;
  const before = await there(path);
  const target = before ? await realpath(path) : path;
  if (before && !before.isFile()) {
    await write(target, "w", NEW_FILE, texts);
    return;
  }
  await forgetAbandoned(dirname(target));
  const part = join(dirname(target), `.tonefall-${randomBytes(6).toString("hex")}.part`);
  const forget = (): void => rmSync(part, { force: true });
  // An interrupt ends the process where it stands.
  process.once("exit", forget);
  try {
    await write(part, "wx", before?.mode ?? NEW_FILE, texts);
    // In one go, so that hardly a moment lies between the look and the deed.
    place.requireFree(target);
    renameSync(part, target);
  } catch (error) {
    await rm(part, { force: true });
    throw error;
  } finally {
    process.off("exit", forget);
  }
}

const PART = /^\.tonefall-[0-9a-f]{12}\.part$/;
const ABANDONED_AFTER_MS = 86_400_000;

/** A part that nothing was added to for so long has no writer; a run in progress adds to its part with every frame. */
async function forgetAbandoned(folder: string): Promise<void> {
  const names = await readdir(folder).catch(() => []);
  for (const name of names.filter((name) => PART.test(name))) {
    const path = join(folder, name);
    const left = await there(path).catch(() => null);
    if (left?.isFile() && Date.now() - left.mtimeMs > ABANDONED_AFTER_MS) {
      await rm(path, { force: true }).catch(() => undefined);
    }
  }
}

async function write(
  path: string,
  flags: string,
  mode: number,
  texts: Iterable<string | Uint8Array> | AsyncIterable<string | Uint8Array>,
): Promise<void> {
  const file = await open(path, flags, mode);
  try {
    await writeFile(file, texts);
    if (flags === "wx") {
      // What a umask took away is given back to a file that had it.
      await file.chmod(mode === NEW_FILE ? (await file.stat()).mode : mode);
      await file.sync();
    }
  } finally {
    await file.close();
  }
}

async function there(path: string): Promise<Stats | null> {
  try {
    return await stat(path);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return null;
    throw error;
  }
}
