import { stat } from "node:fs/promises";
import { GraderError } from "../model/errors.ts";
import { type FoundFrame, type FoundFrames, findFrames } from "../run/findFrames.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

/**
 * Finds the frames that paths name, and reports folders without any on stderr.
 *
 * @throws {@link GraderError} `no-frames` when there is nothing to open
 */
export async function framesOf(
  paths: readonly string[],
  streams: Streams,
): Promise<{
  frames: readonly FoundFrame[];
  unreadable: boolean;
  /** Reports the files in folders that Tonefall does not open; to be called at the end. */
  tellLeftAlone: () => void;
}> {
  const { frames, emptyFolders, unreadableFolders, leftAlone } = await findFrames(paths);
  for (const { path, reason } of unreadableFolders) {
    const why = reason === "EACCES" ? "you may not read it" : reason;
    tell(streams, `the folder ${path} cannot be searched: ${why}`);
  }
  if (frames.length === 0 && unreadableFolders.length === 0) {
    throw new GraderError(
      "no-frames",
      `Expected pictures but found none in ${emptyFolders.join(", ")}`,
    );
  }
  for (const path of emptyFolders) tell(streams, `no pictures in ${path}`);
  return {
    frames,
    unreadable: unreadableFolders.length > 0,
    tellLeftAlone: () => tellLeftAlone(leftAlone, streams),
  };
}

/**
 * {@link framesOf} one folder, for commands that write a file about it.
 *
 * @throws {@link GraderError} `no-frames` also where the path leads to no folder
 */
export async function framesOfFolder(
  folder: string,
  streams: Streams,
): ReturnType<typeof framesOf> {
  const there = await stat(folder).catch(() => null);
  if (there?.isDirectory()) return framesOf([folder], streams);
  const why = there ? "that is a file; name the folder that holds it" : "there is no such folder";
  throw new GraderError("no-frames", `Expected a folder of pictures at ${folder}, but ${why}`);
}

/** Kinds that a message names; a folder may hold any number. */
const MOST_KINDS = 8;

/** Reports in a line how many files in folders were skipped, kind by kind. */
export function tellLeftAlone(leftAlone: FoundFrames["leftAlone"], streams: Streams): void {
  const kinds = [...leftAlone].sort(([a, m], [b, n]) => n - m || (a < b ? -1 : 1));
  if (kinds.length === 0) return;
  const total = kinds.reduce((sum, [, files]) => sum + files, 0);
  const named = kinds
    .slice(0, MOST_KINDS)
    .map(([extension, files]) => `${files} ${extension === "" ? "without extension" : extension}`);
  const more = kinds.length > MOST_KINDS ? ", and others" : "";
  const files = total === 1 ? "1 file was" : `${total} files were`;
  tell(
    streams,
    `${files} skipped, of kinds that Tonefall does not open: ${named.join(", ")}${more}`,
  );
}
