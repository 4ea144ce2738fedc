import { joined } from "../brief/yaml/readWhole.ts";
import { GraderError } from "../model/errors.ts";
import type { Streams } from "./streams.ts";

/** Stands for standard input wherever a file to read is named. */
export const STDIN = "-";

/** What messages and rows call standard input. */
export const STDIN_NAME = "(standard input)";

/** What one run reads from where. */
export interface Inputs {
  readonly paths: readonly string[];
  readonly filesFrom?: string;
  readonly brief?: string;
}

/**
 * Refuses a run that would read standard input for two things.
 *
 * @throws {@link GraderError} `bad-option`
 */
export function requireOneReader({ paths, filesFrom, brief }: Inputs): void {
  const readers = [
    ...paths.filter((path) => path === STDIN).map(() => "a picture"),
    ...(filesFrom === STDIN ? ["--files-from"] : []),
    ...(brief === STDIN ? ["--brief"] : []),
  ];
  if (readers.length < 2) return;
  throw new GraderError(
    "bad-option",
    `Expected "-" (standard input) once but received it for ${readers.join(" and ")}; give files instead`,
  );
}

/**
 * All of standard input.
 *
 * @throws {@link GraderError} `bad-option` where it is longer than so many bytes
 */
export async function readStdin({ stdin }: Streams, mostBytes: number): Promise<Buffer> {
  const bytes = await joined(stdin ?? nothing(), mostBytes);
  if (bytes) return bytes;
  throw new GraderError(
    "bad-option",
    `Expected at most ${mostBytes / 1e6} MB on standard input but received more`,
  );
}

async function* nothing(): AsyncGenerator<Uint8Array> {
  yield* [];
}
