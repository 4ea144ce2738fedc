/** What a command reads from and writes to; tests give their own. */
export interface Streams {
  /** What is piped in; left out where a caller has nothing. */
  readonly stdin?: AsyncIterable<Uint8Array | string>;
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
