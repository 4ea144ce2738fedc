import { type Dirent, readdirSync, statSync } from "node:fs";
import { availableParallelism } from "node:os";
import { join } from "node:path";
import { naturalOrder } from "../model/naturalOrder.ts";
import { decodeAhead } from "../picture/rendered/aheadOfTime.ts";
import { SURELY_LONG_BYTES } from "../run/longBytes.ts";

/** Commands that decode every frame in full. */
const DECODES = new Set(["grade", "meter"]);

/** Options with which frames may be decoded in another way, in another order, or not at all. */
const OTHERWISE =
  /^(?:-h|--help.*|-j.*|--jobs.*|-b.*|--basis.*|--quick|--time-limit.*|--max-megapixels.*|--files-from.*|--shard.*|--resume.*)$/;

/** Frames begun ahead for each that is decoded at once: those after them may go to processes. */
const AHEAD = 2;

/**
 * Begins to decode the first frames of a short run before its command has been loaded: decoding leaves this thread free,
 * which needs as long to load and compile what follows. A guess by what was typed: where it is wrong, nobody asks for those
 * frames, and nothing else changes.
 *
 * @param arguments_ - what was typed after the command's name
 */
export async function headStart([command = "", ...words]: readonly string[]): Promise<void> {
  if (!DECODES.has(command) || words.some((word) => OTHERWISE.test(word))) return;
  const files = words.flatMap(jpegsAt);
  const bytes = files.reduce((sum, file) => sum + file.bytes, 0);
  // A long run has processes, which decode all frames.
  if (files.length === 0 || bytes >= SURELY_LONG_BYTES) return;
  const atOnce = availableParallelism();
  const first = files.slice(0, AHEAD * atOnce).map(({ path }) => path);
  await decodeAhead(first, atOnce);
}

const JPEG = /\.jpe?g$/i;

/** The JPEGs that a word names: itself, or those of a folder. */
function jpegsAt(word: string): readonly { readonly path: string; readonly bytes: number }[] {
  try {
    const entry = statSync(word);
    if (entry.isDirectory())
      return readdirSync(word, { withFileTypes: true })
        .filter(isJpeg)
        .map(({ name }) => name)
        .sort(naturalOrder)
        .flatMap((name) => jpegsAt(join(word, name)));
    return entry.isFile() && JPEG.test(word) ? [{ path: word, bytes: entry.size }] : [];
  } catch {
    // The value of an option, or a file that is not there.
    return [];
  }
}

function isJpeg(entry: Dirent): boolean {
  return entry.isFile() && JPEG.test(entry.name) && !entry.name.startsWith(".");
}
