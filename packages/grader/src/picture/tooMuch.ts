import { GraderError } from "../model/errors.ts";

/** The failure of a frame with more pixels than are decoded. */
export function tooLarge(maxMegapixels: number, cause?: unknown): GraderError {
  return new GraderError(
    "too-large",
    `The picture has more than ${maxMegapixels} million pixels, the most that is decoded; grade a smaller copy, or raise the limit with --max-megapixels (maxMegapixels in code)`,
    { cause },
  );
}

/** The failure of a frame whose decoding took longer than it may. */
export function tookTooLong(timeLimitSeconds: number, cause?: unknown): GraderError {
  return new GraderError(
    "took-too-long",
    `The picture was not decoded within ${timeLimitSeconds} s; it may be damaged, or the time limit (--time-limit) may be too short for its size`,
    { cause },
  );
}
