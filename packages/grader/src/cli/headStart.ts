import { createHash } from "node:crypto";
import { type Dirent, readdirSync, type Stats, statSync } from "node:fs";
import { availableParallelism } from "node:os";
import { join } from "node:path";
import { naturalOrder } from "../model/naturalOrder.ts";
import { decodeAhead } from "../picture/rendered/aheadOfTime.ts";
import { SURELY_LONG_BYTES } from "../run/longBytes.ts";
import { isNoted, noteRun } from "../run/memory/lastRuns.ts";
import { EXIT } from "./exitCodes.ts";
import type { Streams } from "./streams.ts";

/** Commands that decode every frame in full, and whether they keep its row. */
const DECODES: ReadonlyMap<string, { readonly caches: boolean }> = new Map([
  ["grade", { caches: true }],
  ["meter", { caches: false }],
]);

/** Options with which frames may be decoded in another way, in another order, or not at all. */
const OTHERWISE =
  /^(?:-h|--help.*|-j.*|--jobs.*|-b.*|--basis.*|--quick|--time-limit.*|--max-megapixels.*|--files-from.*|--shard.*|--resume.*)$/;

/** Frames begun ahead for each that is decoded at once: those after them may go to processes. */
const AHEAD = 2;

/** To be called when the run has ended, with its exit code. */
export type RunEnded = (code: number) => Promise<void>;

/**
 * Begins to decode the first frames of a short run before its command has been loaded: decoding leaves this thread free,
 * which needs as long to load and compile what follows. A guess by what was typed: where it is wrong, nobody asks for those
 * frames, and nothing else changes.
 *
 * A run that the cache noted, of the same words over the same files, finds its rows there: nothing is decoded ahead, since a
 * process cannot end before its decoders do.
 *
 * @param arguments_ - what was typed after the command's name
 */
export async function headStart(
  [command = "", ...words]: readonly string[],
  streams: Pick<Streams, "env">,
): Promise<RunEnded> {
  const decodes = DECODES.get(command);
  if (!decodes || words.some((word) => OTHERWISE.test(word))) return nothingToNote;
  const named = words.map(namedBy);
  const files = named.flatMap((one) => one?.jpegs ?? []);
  const bytes = files.reduce((sum, file) => sum + file.bytes, 0);
  // A long run has processes, which decode all frames.
  if (files.length === 0 || bytes >= SURELY_LONG_BYTES) return nothingToNote;
  const folder =
    decodes.caches && !words.includes("--no-cache") ? await cacheFolderOf(streams) : null;
  const run = digestOf([command, words, process.cwd(), named]);
  if (folder !== null && isNoted(folder, run)) return nothingToNote;
  const atOnce = availableParallelism();
  const first = files.slice(0, AHEAD * atOnce).map(({ path }) => path);
  await decodeAhead(first, atOnce);
  return async (code) => {
    const isWhole = code === EXIT.ok || code === EXIT.missed;
    if (folder !== null && isWhole) await noteRun(folder, run);
  };
}

/** Loaded only now: it looks for the user's home, which other commands can do without. */
async function cacheFolderOf(streams: Pick<Streams, "env">): Promise<string | null> {
  const { cacheFolder } = await import("./cacheFolder.ts");
  return cacheFolder(streams);
}

async function nothingToNote(): Promise<void> {}

/** Of paths no more than a digest is kept. */
function digestOf(data: unknown): string {
  return createHash("sha256").update(JSON.stringify(data)).digest("hex");
}

/** A file that a word names, as it is now. */
interface NamedFile {
  readonly path: string;
  readonly bytes: number;
  readonly changed: number;
}

/** What a word names: a file such as a brief, which is no picture, changes what the run asks. */
interface Named {
  readonly jpegs: readonly NamedFile[];
  readonly others: readonly NamedFile[];
}

const JPEG = /\.jpe?g$/i;

/** The file that a word names, or the JPEGs of the folder; null for anything else. */
function namedBy(word: string): Named | null {
  try {
    const entry = statSync(word);
    if (entry.isDirectory()) return { jpegs: jpegsIn(word), others: [] };
    if (!entry.isFile()) return null;
    const file = fileOf(word, entry);
    return JPEG.test(word) ? { jpegs: [file], others: [] } : { jpegs: [], others: [file] };
  } catch {
    // The value of an option, or a file that is not there.
    return null;
  }
}

function jpegsIn(folder: string): NamedFile[] {
  return readdirSync(folder, { withFileTypes: true })
    .filter(isJpeg)
    .map(({ name }) => name)
    .sort(naturalOrder)
    .map((name) => join(folder, name))
    .map((path) => fileOf(path, statSync(path)));
}

function fileOf(path: string, { size, mtimeMs }: Stats): NamedFile {
  return { path, bytes: size, changed: mtimeMs };
}

function isJpeg(entry: Dirent): boolean {
  return entry.isFile() && JPEG.test(entry.name) && !entry.name.startsWith(".");
}
