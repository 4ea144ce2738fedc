/** A value at a place along a line. */
export type PlacedValue = readonly [place: number, value: number];

/**
 * Slopes of the lines through every two points, rising: their median is the robust slope of Theil (1950) and Sen (1968).
 *
 * @param points - finite; two at one place give no slope
 */
export function pairSlopes(points: readonly PlacedValue[]): number[] {
  return points
    .flatMap(([place, value], i) =>
      points
        .slice(i + 1)
        .filter(([other]) => other !== place)
        .map(([other, otherValue]) => (otherValue - value) / (other - place)),
    )
    .sort((a, b) => a - b);
}

/**
 * An interval for the robust slope, by Sen: the slopes that as many pairs lie beyond as Kendall's score leaves to
 * accident.
 *
 * @param slopes - rising, one or more
 * @param score - the score that is rare by accident, such as that of `rareScore`
 */
export function slopeInterval(
  slopes: readonly number[],
  score: number,
): { readonly from: number; readonly to: number } {
  const beyond = Math.max(0, Math.floor((slopes.length - score) / 2));
  return {
    from: slopes[beyond] as number,
    to: slopes[slopes.length - 1 - beyond] as number,
  };
}
