import type { ReadResult } from "../model/result.ts";
/** Exit codes of the command, the same for every subcommand. */
export const EXIT = {
  /** Done; every expectation was met. */
  ok: 0,
  /** An expectation was missed. */
  missed: 1,
  /** The command line or a brief is wrong, or no picture named exists; nothing was graded. */
  usage: 2,
  /** Some frames could not be read; the rest were graded. */
  unreadable: 3,
  /** An error in Tonefall itself. */
  internal: 70,
  /** Interrupted from the keyboard. */
  interrupted: 130,
  /** Terminated, as by `kill` or a system that shuts down. */
  terminated: 143,
  /** The terminal closed. */
  hungUp: 129,
} as const;

/** Counts the rows of a run that failed, for its exit code. */
export interface FailureCount {
  readonly see: (row: Pick<ReadResult, "failure">) => void;
  /** The exit code that failures come to: `usage` where no picture named exists, null where nothing failed. */
  readonly code: () => number | null;
}

/** @param unreadable - whether a folder could not be read */
export function failureCount(unreadable: boolean): FailureCount {
  let rows = 0;
  let failed = 0;
  let absent = 0;
  return {
    see: ({ failure }) => {
      rows++;
      if (failure) failed++;
      if (failure?.code === "no-such-file") absent++;
    },
    code: () => {
      if (failed === 0 && !unreadable) return null;
      return absent === rows && !unreadable ? EXIT.usage : EXIT.unreadable;
    },
  };
}
