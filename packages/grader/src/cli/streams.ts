/** Where a command reads its surroundings from and writes to; tests give their own. */
export interface Streams {
  readonly stdout: Output;
  readonly stderr: Output;
  /** Environment variables. */
  readonly env: Readonly<Record<string, string | undefined>>;
}

/** A stream of text, a terminal or not. */
interface Output {
  write(text: string): unknown;
  readonly isTTY?: boolean;
  readonly columns?: number;
}
