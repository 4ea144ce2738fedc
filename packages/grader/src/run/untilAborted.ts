import { GraderError } from "../model/errors.ts";

/** What stops work that runs long. */
export interface Abortable {
  /**
   * Ends the call with the signal's reason, an `AbortError` unless you give another, and begins no further frame. A picture
   * that is being decoded is finished unseen.
   * @default nothing ends it early
   */
  readonly signal?: AbortSignal;
}

/**
 * What work comes to, or the signal's reason where it aborts first; an aborted signal begins nothing.
 *
 * @throws {@link GraderError} `bad-option` for what is no signal
 */
export async function untilAborted<T>(
  signal: AbortSignal | undefined,
  work: () => Promise<T>,
): Promise<T> {
  if (signal === undefined) return work();
  if (typeof (signal as Partial<AbortSignal> | null)?.throwIfAborted !== "function") {
    throw new GraderError(
      "bad-option",
      "Expected an AbortSignal for signal; take the one of an AbortController, or AbortSignal.timeout()",
    );
  }
  signal.throwIfAborted();
  let stop = (): void => {};
  const aborted = new Promise<never>((_, reject) => {
    stop = () => reject(signal.reason);
    signal.addEventListener("abort", stop, { once: true });
  });
  try {
    return await Promise.race([work(), aborted]);
  } finally {
    signal.removeEventListener("abort", stop);
  }
}
