import { statSync } from "node:fs";
import { dirname, join, relative, resolve, sep } from "node:path";
import { GraderError } from "../model/errors.ts";
import type { FrameResult } from "../model/result.ts";
import type { RowWriter } from "../output/text/rowWriter.ts";
import { type WritePlace, writePlace } from "../run/write/writePlace.ts";
import type { Format } from "./options.ts";
import { makeFolder, type RunFiles, writeTexts } from "./output.ts";
import type { Streams } from "./streams.ts";

const OPTION = "--by-folder";

const EXTENSIONS: Readonly<Record<Format, string>> = {
  table: "txt",
  json: "json",
  ndjson: "ndjson",
  csv: "csv",
  markdown: "md",
};

/** What a run writes for each folder of its frames. */
export interface FolderTexts {
  /** Adds the next row of the run to its folder's text. */
  add(row: FrameResult): void;
  /** Writes all texts, each whole or not at all, and gives how many there are. */
  write(streams: Streams): Promise<number>;
}

/** One folder's text in the making. */
interface FolderText {
  readonly place: WritePlace;
  readonly writer: RowWriter<FrameResult>;
  readonly parts: string[];
}

/**
 * Claims one file for each folder that holds frames, in folders of the same names below another, before the run begins:
 * `OUT/hana/week1/grades.txt` for `class/hana/week1`.
 *
 * @param files - the frames, as rows name them
 * @param out - the folder to write below; may be the one that holds the frames
 * @param options - the form of the texts, and which other files the run reads and writes
 * @throws {@link GraderError} `would-overwrite` where something stands in a place that has to stay, `bad-option` where
 *   `out` is not a folder
 */
export function folderTexts(
  files: readonly string[],
  out: string,
  options: RunFiles & {
    readonly format: Format;
    readonly writes: readonly (string | undefined)[];
    readonly writer: () => RowWriter<FrameResult>;
  },
): FolderTexts {
  requireFolder(out);
  const { format, reads, writes, force = false, writer } = options;
  const members = new Map<string, string[]>();
  for (const file of files) {
    const folder = folderOf(file);
    const known = members.get(folder);
    if (known) known.push(file);
    else members.set(folder, [file]);
  }
  const shared = sharedAncestor([...members.keys()]);
  const texts = new Map<string, FolderText>();
  for (const [folder, own] of members) {
    const place = writePlace({
      path: join(out, relative(shared, folder), `grades.${EXTENSIONS[format]}`),
      kind: format,
      option: OPTION,
      reads: [...reads.filter((path) => path !== undefined), ...own],
      writes: writes.filter((path) => path !== undefined),
      force,
    });
    const made = writer();
    texts.set(folder, { place, writer: made, parts: [made.head] });
  }
  return {
    add: (row) => {
      const text = texts.get(folderOf(row.file));
      text?.parts.push(text.writer.row(row));
    },
    write: async (streams) => {
      for (const { place, writer, parts } of texts.values()) {
        await makeFolder(dirname(place.path), OPTION);
        await writeTexts([...parts, writer.end()], place, streams);
      }
      return texts.size;
    },
  };
}

function folderOf(file: string): string {
  return dirname(resolve(file));
}

/** The deepest folder that holds all of some folders, itself one of them or above. */
function sharedAncestor([first = "", ...others]: readonly string[]): string {
  let ancestor = first;
  const holds = (folder: string): boolean =>
    folder === ancestor || folder.startsWith(ancestor.endsWith(sep) ? ancestor : ancestor + sep);
  while (!others.every(holds) && dirname(ancestor) !== ancestor) ancestor = dirname(ancestor);
  return ancestor;
}

function requireFolder(path: string): void {
  const there = statSync(path, { throwIfNoEntry: false });
  if (!there || there.isDirectory()) return;
  throw new GraderError("bad-option", `Expected a folder for ${OPTION} but ${path} is a file`);
}
