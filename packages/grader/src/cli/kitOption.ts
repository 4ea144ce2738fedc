import { Option } from "commander";
import { kitsBeside, type NamedKit, readKitFile } from "../kit/kitFile.ts";
import type { FoundFrame } from "../run/findFrames.ts";

/** `--kit`, of the commands that see frames through measured kits. */
export function kitOption(): Option {
  return new Option(
    "--kit <file>",
    "measured kit to see frames through (default: the matching one of a folder kits beside them)",
  );
}

/**
 * The kits at hand for frames: the one that was named, or those of folders beside the frames.
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
