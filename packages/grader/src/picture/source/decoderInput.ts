import { GraderError } from "../../model/errors.ts";
import { FrameMemory } from "../frameMemory.ts";
import { readBytes } from "./readBytes.ts";

/** Memory of files: their lengths vary by megabytes from picture to picture. */
const FILE_MEMORY = new FrameMemory(2 ** 24);

/** A picture file for its decoder, and what to call when the decoder has finished. */
export interface DecoderInput {
  /** Bytes, or the path of a file too large for memory. */
  readonly input: string | Uint8Array;
  readonly done: () => void;
}

/**
 * A picture file for its decoder, read into memory.
 *
 * Given a path, the decoder maps the file, and a file that is cut short meanwhile ends the whole process by a signal.
 * Only a file too large for memory is given by path.
 *
 * @throws {@link GraderError} `cannot-read`
 */
export async function decoderInput(input: string | Uint8Array): Promise<DecoderInput> {
  const asItIs = { input, done: () => {} };
  if (input instanceof Uint8Array) return asItIs;
  try {
    const { bytes } = await readBytes(input, FILE_MEMORY);
    return { input: bytes, done: () => FILE_MEMORY.giveBack(bytes.buffer) };
  } catch (error) {
    if (error instanceof GraderError && error.code === "too-large") return asItIs;
    throw error;
  }
}
