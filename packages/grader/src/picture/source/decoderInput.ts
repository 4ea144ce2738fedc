import { GraderError } from "../../model/errors.ts";
import { FrameMemory } from "../frameMemory.ts";
import { readBytes } from "./readBytes.ts";

/** Memory of files: their lengths vary by megabytes from picture to picture. */
const FILE_MEMORY = new FrameMemory(2 ** 24);

/** A picture file for its decoder, and what to do when that has done with it. */
export interface DecoderInput {
  /** Bytes, or the path of a file too large for memory. */
  readonly input: string | Uint8Array;
  readonly done: () => void;
}

/**
 * A picture file as its decoder is to have it: in memory.
 *
 * Given a path, the decoder maps the file, and a file that is cut short meanwhile ends the whole process by a signal.
 * Only what is too large for memory is left to it.
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
