/** Milliseconds for a timer: at once is what a timer makes of more than it can count, 24 days. */
export function timerDelay(seconds: number): number {
  return Math.min(1000 * seconds, 2 ** 31 - 1);
}
