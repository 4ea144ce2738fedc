import { GraderError } from "../model/errors.ts";
import { type FoundFrame, type FoundFrames, findFrames } from "../run/findFrames.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

/**
 * The frames that the command's paths stand for, with a word on stderr for folders that give none.
 *
 * @throws {@link GraderError} `no-frames` when there is nothing to open at all
 */
export async function framesOf(
  paths: readonly string[],
  streams: Streams,
): Promise<{
  frames: readonly FoundFrame[];
  unreadable: boolean;
  /** Says what the folders hold that nothing opens; to be called at the end. */
  tellLeftAlone: () => void;
}> {
  const { frames, emptyFolders, unreadableFolders, leftAlone } = await findFrames(paths);
  for (const { path, reason } of unreadableFolders) {
    tell(streams, `the folder ${path} cannot be read (${reason})`);
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

/** Kinds that are named; a folder of everything has no end of them. */
const MOST_KINDS = 8;

/** Says in a line how many files of folders were left alone, kind by kind. */
export function tellLeftAlone(leftAlone: FoundFrames["leftAlone"], streams: Streams): void {
  const kinds = [...leftAlone].sort(([a, m], [b, n]) => n - m || (a < b ? -1 : 1));
  if (kinds.length === 0) return;
  const total = kinds.reduce((sum, [, files]) => sum + files, 0);
  const named = kinds
    .slice(0, MOST_KINDS)
    .map(([extension, files]) => `${files} ${extension === "" ? "without extension" : extension}`);
  const more = kinds.length > MOST_KINDS ? ", and others" : "";
  const files = total === 1 ? "1 file was" : `${total} files were`;
  tell(streams, `${files} left alone, not a kind that Tonefall opens: ${named.join(", ")}${more}`);
}
