import { type Command, Option } from "commander";
import { encodingOf } from "../brief/yaml/encodingOf.ts";
import { readWhole } from "../brief/yaml/readWhole.ts";
import { GraderError } from "../model/errors.ts";
import { whyUnreadable } from "../model/whyUnreadable.ts";
import type { Source } from "../picture/source/openSource.ts";
import type { FoundFrame } from "../run/findFrames.ts";
import { framesOf } from "./foundFrames.ts";
import { GROUPS } from "./help.ts";
import { type Inputs, readStdin, requireOneReader, STDIN, STDIN_NAME } from "./stdin.ts";
import type { Streams } from "./streams.ts";

/** A list of a million long paths has this many bytes. */
const LONGEST_LIST = 256e6;

/** No camera's file is larger. */
const LARGEST_PICTURE = 1e9;

/** Adds the ways in which pictures are named. */
export function withPictures(command: Command): Command {
  return command
    .argument("[path...]", "pictures or folders; - reads one from standard input")
    .addOption(
      new Option(
        "--files-from <list>",
        "read paths from a file, or - for standard input: one on each line, or separated by NUL",
      ).helpGroup(GROUPS.subject),
    );
}

/** The pictures of a run. */
export interface Pictures {
  readonly frames: readonly FoundFrame[];
  /** What to open for each frame: its path, or the bytes from standard input. */
  readonly sources: readonly Source[];
  /** Paths of those frames that are files. */
  readonly files: readonly string[];
  /** Whether a folder could not be read. */
  readonly unreadable: boolean;
  /** Reports the files in folders that Tonefall does not open; to be called at the end. */
  readonly tellLeftAlone: () => void;
}

/**
 * Finds the pictures that a command's paths and its list name.
 *
 * @throws {@link GraderError} `bad-option` or `no-frames`
 */
export async function picturesOf(inputs: Inputs, streams: Streams): Promise<Pictures> {
  const { paths, filesFrom } = inputs;
  if (paths.length === 0 && filesFrom === undefined) {
    throw new GraderError(
      "bad-option",
      "Expected pictures or folders, or --files-from with a list of them, but received none; --help shows examples",
    );
  }
  requireOneReader(inputs);
  const listed = filesFrom === undefined ? [] : await readList(filesFrom, streams);
  if (paths.length + listed.length === 0) {
    throw new GraderError(
      "no-frames",
      `Expected paths of pictures in ${listName(filesFrom)}, but it is empty`,
    );
  }
  const found = await framesOf([...paths, ...listed], streams);
  const piped = paths.includes(STDIN) ? await readStdin(streams, LARGEST_PICTURE) : null;
  const isPiped = (path: string): boolean => piped !== null && path === STDIN;
  return {
    ...found,
    frames: found.frames.map((frame) =>
      isPiped(frame.path) ? { ...frame, path: STDIN_NAME } : frame,
    ),
    sources: found.frames.map(({ path }) => (isPiped(path) ? (piped as Buffer) : path)),
    files: found.frames.map(({ path }) => path).filter((path) => !isPiped(path)),
  };
}

async function readList(list: string, streams: Streams): Promise<readonly string[]> {
  const bytes =
    list === STDIN
      ? await readStdin(streams, LONGEST_LIST)
      : await readWhole(list, LONGEST_LIST).catch((cause) => {
          throw new GraderError(
            "bad-option",
            `Expected a list of paths at ${list}, but ${whyUnreadable(cause)}`,
            { cause },
          );
        });
  if (!bytes) {
    throw new GraderError(
      "bad-option",
      `Expected a list of paths but ${list} is larger than 256 MB`,
    );
  }
  const text = new TextDecoder(encodingOf(bytes)).decode(bytes);
  // No path holds a NUL, but one may hold a line break.
  const paths = text.includes("\0") ? text.split("\0") : text.split(/\r?\n/);
  return paths.filter((path) => path !== "");
}

function listName(list: string | undefined): string {
  return list === STDIN ? "standard input" : String(list);
}
