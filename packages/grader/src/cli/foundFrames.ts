import { GraderError } from "../errors.ts";
import { type FoundFrame, findFrames } from "../run/findFrames.ts";
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
): Promise<{ frames: readonly FoundFrame[]; unreadable: boolean }> {
  const { frames, emptyFolders, unreadableFolders } = await findFrames(paths);
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
  return { frames, unreadable: unreadableFolders.length > 0 };
}
