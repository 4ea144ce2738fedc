/** Value that half of the weight lies at or below; 0 of none. */
export function weightedMedian(
  pairs: readonly (readonly [value: number, weight: number])[],
): number {
  const sorted = [...pairs].sort(([a], [b]) => a - b);
  const half = sorted.reduce((sum, [, weight]) => sum + weight, 0) / 2;
  let seen = 0;
  for (const [value, weight] of sorted) {
    seen += weight;
    if (seen >= half) return value;
  }
  return 0;
}

/** Value that half of the others lie at or below; 0 of none. */
export function median(values: readonly number[]): number {
  return weightedMedian(values.map((value) => [value, 1]));
}
