/** What decoding one frame may cost. */
export interface DecodeLimits {
  /**
   * Seconds that decoding one frame may take; a frame that takes longer fails with `took-too-long`. Waiting for a free
   * decoder does not count.
   * @default 120
   */
  readonly timeLimitSeconds?: number;
  /**
   * Millions of pixels of the largest picture that is decoded, on a sensor of its samples; a larger one fails with
   * `too-large` before its pixels are touched. Memory grows with it: 3 bytes to a pixel, 6 in 16 bits.
   * @default 268
   */
  readonly maxMegapixels?: number;
}

/** The limits that are given among other options. */
export function givenLimits({ timeLimitSeconds, maxMegapixels }: DecodeLimits): DecodeLimits {
  return {
    ...(timeLimitSeconds === undefined ? {} : { timeLimitSeconds }),
    ...(maxMegapixels === undefined ? {} : { maxMegapixels }),
  };
}

/** The limits where none are given: twenty times what the slowest frame of today's cameras takes, and 16,384 x 16,384 pixels. */
export const DEFAULT_LIMITS: Required<DecodeLimits> = {
  timeLimitSeconds: 120,
  maxMegapixels: 268,
};
