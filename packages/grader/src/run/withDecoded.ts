import { givenLimits } from "../picture/decodeLimits.ts";
import { decodePicture } from "../picture/decodePicture.ts";
import type { Frame } from "../picture/frame.ts";
import { letGo, type TypedArray } from "../picture/letGo.ts";
import type { GradeOptions } from "./gradeOptions.ts";
import type { Decoding } from "./gradeRead.ts";
import type { ReadFile } from "./readFile.ts";

/**
 * Decodes a picture, hands it to work, and frees its memory when the work is done.
 */
export async function withDecoded<T>(
  { file, record }: ReadFile,
  options: GradeOptions,
  { quick, middleGrey, gamma }: Decoding,
  work: (decoded: Frame) => Promise<T>,
): Promise<T> {
  // Whoever looks at a frame may keep it.
  const kept = options.look !== undefined;
  let done = (): void => {};
  const unused = new Promise<void>((resolve) => {
    done = resolve;
  });
  try {
    const decoded = await decodePicture(file, record, {
      ...givenLimits(options),
      ...(middleGrey === undefined ? {} : { middleGrey }),
      ...(kept ? {} : { unused }),
      quick,
      ...(gamma === undefined ? {} : { gamma }),
    });
    try {
      return await work(decoded);
    } finally {
      if (!kept) for (const memory of memoryOf(decoded)) letGo(memory);
    }
  } finally {
    done();
  }
}

/** The large memory that a frame shares with no other. Tables of a sensor are its own; those of colour profiles are not. */
function memoryOf({ samples, channels, sensor }: Frame): Iterable<TypedArray> {
  if (!sensor) return [samples];
  return new Set([samples, ...sensor.histograms, ...channels.map(({ luminance }) => luminance)]);
}
