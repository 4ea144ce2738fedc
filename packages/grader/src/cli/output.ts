import pc from "picocolors";
import { GraderError } from "../model/errors.ts";
import type { Paint } from "../output/text/frameTable.ts";
import type { WrittenKind } from "../run/write/heldText.ts";
import { makeFolders } from "../run/write/makeFolders.ts";
import { whyUnwritable } from "../run/write/whyUnwritable.ts";
import { type WritePlace, writePlace } from "../run/write/writePlace.ts";
import { writeWhole } from "../run/write/writeWhole.ts";
import type { Streams } from "./streams.ts";

const DEFAULT_WIDTH = 80;

/** Shorter lines have no room for a name beside its figures. */
const LEAST_WIDTH = 40;

/** What a run reads, and how it may write. */
export interface RunFiles {
  /** Paths of files that it reads, undefined where an option names none. */
  readonly reads: readonly (string | undefined)[];
  /** Whether text of any kind may be written over. */
  readonly force: true | undefined;
}

/**
 * Claims the places that the options of a run name, before it does any work. No place may be one of the run's inputs or
 * another of its outputs, nor hold what has to stay.
 *
 * @param wanted - what is to be written by which option; a path left out stands for stdout or nothing
 * @returns the places in the order of the options; null for a path left out
 * @throws {@link GraderError} `would-overwrite`
 */
export function claimPlaces(
  wanted: readonly { option?: string; path: string | undefined; kind: WrittenKind }[],
  { reads, force }: RunFiles,
): (WritePlace | null)[] {
  const inputs = reads.filter((path) => path !== undefined);
  return wanted.map(({ path, ...request }, i) => {
    if (path === undefined) return null;
    const others = wanted.filter((_, other) => other !== i).map((other) => other.path);
    const writes = others.filter((path) => path !== undefined);
    return writePlace({ ...request, path, reads: inputs, writes, force: force ?? false });
  });
}

/** {@link claimPlaces} for a run that writes one thing. */
export function claimPlace(
  wanted: { path: string | undefined; kind: WrittenKind },
  files: RunFiles,
): WritePlace | null {
  return claimPlaces([wanted], files)[0] ?? null;
}

/** The place of a command's one result, as `--output`, `--format` and `--force` say; null for stdout. */
export function resultPlace(
  reads: RunFiles["reads"],
  { output, format, force }: { output?: string; format: WrittenKind; force?: true },
): WritePlace | null {
  return claimPlace({ path: output, kind: format }, { reads, force });
}

/**
 * Makes a folder to write in, and those above it.
 *
 * @param option - names the folder in the message
 * @throws {@link GraderError} `bad-option`
 */
export async function makeFolder(path: string, option: string): Promise<void> {
  try {
    await makeFolders(path);
  } catch (cause) {
    throw new GraderError(
      "bad-option",
      `Expected a folder to write in for ${option} but ${path} cannot be made ${whyUnwritable(path, cause)}`,
      { cause },
    );
  }
}

/** Writes a result to a file, whole or not at all, or to stdout. */
export async function writeResult(
  text: string,
  place: WritePlace | null,
  streams: Streams,
): Promise<void> {
  await writeTexts([text], place, streams);
}

/** {@link writeResult} for a result that comes in pieces: stdout gets each at once, the file is there after the last. */
export async function writeTexts(
  texts: Iterable<string> | AsyncIterable<string>,
  place: WritePlace | null,
  { stdout }: Streams,
): Promise<void> {
  if (place === null) {
    for await (const text of texts) stdout.write(text);
    return;
  }
  try {
    await writeWhole(place, texts);
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).syscall === undefined) throw cause;
    throw new GraderError(
      "bad-option",
      `Expected a place to write for ${place.option} but ${place.path} cannot be written ${whyUnwritable(place.path, cause)}`,
      { cause },
    );
  }
}

/** Characters in a line of the result: the terminal's; in a pipe what COLUMNS says; otherwise, and in files, 80. */
export function lineWidth({ stdout, env }: Streams, path: string | undefined): number {
  if (path !== undefined) return DEFAULT_WIDTH;
  if (stdout.isTTY) return stdout.columns ?? DEFAULT_WIDTH;
  const columns = /^\d{2,3}$/.test(env["COLUMNS"] ?? "") ? Number(env["COLUMNS"]) : DEFAULT_WIDTH;
  return Math.max(columns, LEAST_WIDTH);
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
