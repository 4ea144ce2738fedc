import { limitsIn } from "../picture/decodeLimits.ts";
import { decodePicture } from "../picture/decodePicture.ts";
import type { Frame } from "../picture/frame.ts";
import { FrameMemory } from "../picture/frameMemory.ts";
import { letGo } from "../picture/letGo.ts";
import type { GradeOptions } from "./gradeOptions.ts";
import type { Decoding } from "./gradeRead.ts";
import type { ReadFile } from "./readFile.ts";

/** Memory of raw frames that nobody but their grading reads. */
const FRAME_MEMORY = new FrameMemory();

/**
 * Decodes a picture, hands it to work, and frees its memory when the work is done.
 */
export async function withDecoded<T>(
  { file, record }: ReadFile,
  options: GradeOptions,
  decoding: Decoding,
  work: (decoded: Frame) => Promise<T>,
): Promise<T> {
  const { quick, middleGrey, gamma } = decoding;
  // Whoever looks at a frame may keep it.
  const memory = options.look ? null : FRAME_MEMORY;
  const decoded = await decodePicture(file, record, {
    ...limitsIn(options),
    ...(middleGrey === undefined ? {} : { middleGrey }),
    ...(memory ? { memory } : {}),
    quick,
    ...(gamma === undefined ? {} : { gamma }),
  });
  try {
    return await work(decoded);
  } finally {
    if (memory && decoded.sensor) memory.giveBack(decoded.samples.buffer as ArrayBuffer);
    else if (memory) letGo(decoded.samples);
  }
}
