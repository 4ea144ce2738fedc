import { GraderError } from "../errors.ts";
import { readBytes } from "../raw/readBytes.ts";

/**
 * A picture file as its decoder is to have it: in memory.
 *
 * Given a path, the decoder maps the file, and a file that is cut short meanwhile ends the whole process by a signal.
 * Only what is too large for memory is left to it.
 *
 * @throws {@link GraderError} `cannot-read`
 */
export async function decoderInput(input: string | Uint8Array): Promise<string | Uint8Array> {
  if (input instanceof Uint8Array) return input;
  try {
    return (await readBytes(input)).bytes;
  } catch (error) {
    if (error instanceof GraderError && error.code === "too-large") return input;
    throw error;
  }
}
