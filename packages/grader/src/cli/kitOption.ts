import { Option } from "commander";
import type { NamedKit } from "../kit/kit.ts";
import { kitsBeside, readKitFile } from "../kit/kitFile.ts";
import type { FoundFrame } from "../run/findFrames.ts";
import { GROUPS } from "./help.ts";

/** `--kit`, for the commands that turn codes into light by a measured kit. */
export function kitOption(): Option {
  return new Option(
    "--kit <file>",
    "kit file of the camera (default: the one that matches, from a folder named kits beside the frames)",
  ).helpGroup(GROUPS.measuring);
}

/**
 * The kits for a run: the one that was named, or those in folders named `kits` beside the frames.
 *
 * @throws {@link GraderError} `bad-kit`
 */
export async function kitsAtHand(
  named: string | undefined,
  frames: readonly FoundFrame[],
): Promise<readonly NamedKit[]> {
  return named === undefined
    ? kitsBeside(frames.map(({ path }) => path))
    : [await readKitFile(named)];
}
