/** Exit codes of the command, the same for every subcommand. */
export const EXIT = {
  /** All done, and everything asked for held. */
  ok: 0,
  /** An expectation was missed. */
  missed: 1,
  /** The command line or a brief is wrong; nothing was graded. */
  usage: 2,
  /** Some frames could not be read; the rest were graded. */
  unreadable: 3,
  /** An error of Tonefall's own. */
  internal: 70,
  /** Interrupted from the keyboard. */
  interrupted: 130,
  /** Told to end, as by `kill` or a machine that shuts down. */
  terminated: 143,
  /** Its terminal went away. */
  hungUp: 129,
} as const;
