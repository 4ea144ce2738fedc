import type { DecodeLimits } from "../decodeLimits.ts";
import { timerDelay } from "../pool/timerDelay.ts";
import { tookTooLong } from "../tooMuch.ts";

/**
 * Measures out the time that one picture may take over all attempts; waiting for a turn does not count.
 *
 * The decoder stops itself between the parts of a picture. Where all of it is one part, the row fails in time and the
 * decoder ends when it can.
 */
export function timeKeeper({
  timeLimitSeconds,
}: Required<DecodeLimits>): <T>(work: () => Promise<T>) => Promise<T> {
  let secondsLeft = timeLimitSeconds;
  return async (work) => {
    const start = performance.now();
    let timer: NodeJS.Timeout | undefined;
    const late = new Promise<never>((_, reject) => {
      timer = setTimeout(
        () => reject(tookTooLong(timeLimitSeconds)),
        timerDelay(Math.max(0, secondsLeft)),
      );
    });
    try {
      return await Promise.race([work(), late]);
    } finally {
      clearTimeout(timer);
      secondsLeft -= (performance.now() - start) / 1000;
    }
  };
}
