/** Candidates for a step, the preferred one first: odd, so that every place in a JPEG's blocks of 8 or 16 is visited. */
const STEPS = [9, 11, 7, 5, 13, 17, 19, 23] as const;

/**
 * The n for which every nth pixel in reading order represents them all, so that the pixels taken spread evenly over rows and
 * columns of pictures of this width.
 *
 * From one row to the next the pixels taken move along by the remainder of width and step. Where they moved by nothing
 * they would stand in columns, by one in slanting lines, and by a divisor of the step they would leave columns out.
 *
 * @param width - pixels across, as stored
 * @returns 1 where no step spreads, which happens in lines of a few pixels
 *
 * @example
 * ```ts
 * latticeStep(6000); // => 11: by 9, the columns 1, 2, 4, 5, 7 ... would never be looked at
 * ```
 */
export function latticeStep(width: number): number {
  const spread = (step: number): boolean => {
    const shift = width % step;
    return shift > 1 && shift < step - 1 && divisor(shift, step) === 1;
  };
  return STEPS.find(spread) ?? 1;
}

function divisor(a: number, b: number): number {
  return a === 0 ? b : divisor(b % a, a);
}
