/** The middle of values, or the mean of the two about it; 0 of none. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const [low, high] = [(sorted.length - 1) >> 1, sorted.length >> 1];
  return sorted.length === 0 ? 0 : ((sorted[low] as number) + (sorted[high] as number)) / 2;
}
