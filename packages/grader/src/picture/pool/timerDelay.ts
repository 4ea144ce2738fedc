/** Milliseconds for a timer, at most 24 days: a timer fires at once for more than it can count. */
export function timerDelay(seconds: number): number {
  return Math.min(1000 * seconds, 2 ** 31 - 1);
}
