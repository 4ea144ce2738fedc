import pc from "picocolors";
import { GraderError } from "../errors.ts";
import type { Paint } from "../report/gradeTable.ts";
import { writeWhole } from "../writeWhole.ts";
import type { Streams } from "./streams.ts";

const DEFAULT_WIDTH = 80;

/** Writes a result to a file, whole or not at all, or to stdout. */
export async function writeResult(
  text: string,
  path: string | undefined,
  streams: Streams,
): Promise<void> {
  await writeTexts([text], path, streams);
}

/** {@link writeResult} for a result that comes in pieces: stdout gets each at once, the file is there after the last. */
export async function writeTexts(
  texts: Iterable<string> | AsyncIterable<string>,
  path: string | undefined,
  { stdout }: Streams,
): Promise<void> {
  if (path === undefined) {
    for await (const text of texts) stdout.write(text);
    return;
  }
  try {
    await writeWhole(path, texts);
  } catch (cause) {
    const { code, syscall } = cause as NodeJS.ErrnoException;
    if (syscall === undefined) throw cause;
    throw new GraderError(
      "bad-option",
      `Expected a place to write for --output but ${path} cannot be written (${code})`,
      { cause },
    );
  }
}

/** Characters in a line of the result: the terminal's, or 80. */
export function lineWidth({ stdout }: Streams, path: string | undefined): number {
  return path === undefined && stdout.isTTY ? (stdout.columns ?? DEFAULT_WIDTH) : DEFAULT_WIDTH;
}

/** Colours where the result goes to a terminal and NO_COLOR is not set; plain text otherwise. */
export function paintFor({ stdout, env }: Streams, path: string | undefined): Paint {
  const forced = Boolean(env["FORCE_COLOR"]) && env["FORCE_COLOR"] !== "0";
  const coloured = path === undefined && !env["NO_COLOR"] && (forced || stdout.isTTY === true);
  const colours = pc.createColors(coloured);
  return {
    over: colours.yellow,
    under: colours.cyan,
    faint: colours.dim,
    strong: colours.bold,
  };
}
