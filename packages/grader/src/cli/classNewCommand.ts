import { basename, join, relative, resolve } from "node:path";
import { Command } from "commander";
import { fileExists } from "../classes/fileExists.ts";
import { proposeClass } from "../classes/proposeClass.ts";
import { GraderError } from "../model/errors.ts";
import { isFolder } from "../run/findFrames.ts";
import { EXIT } from "./exitCodes.ts";
import { framesOf } from "./foundFrames.ts";
import { COMMON_CODES, type HelpTexts, withHelp } from "./help.ts";
import { outputOption } from "./options.ts";
import { claimPlace, writeResult } from "./output.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

interface NewClassFlags {
  readonly output?: string;
}

const HELP: HelpTexts = {
  examples: `  tonefall class new term/           writes term/class.yaml
  tonefall class new term/ -o -      prints it instead

It knows these layouts:
  term/s01/week1/...                 a folder for each student
  term/week1/s01/...                 a folder for each exercise
  term/week1/s01-hull.jpg            codes in the names of files
  term/s01_week1_hull.jpg            one folder of downloads
Where names stand instead of codes, it gives every student a code.`,
  exitCodes: `0 written; 2 wrong usage, or the file exists already;
${COMMON_CODES}.`,
};

/** `tonefall class new`. */
export function classNewCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("new")
    .summary("write a first class file for a folder of hand-ins")
    .description(
      "Write a first class file for a folder of hand-ins. It works as it is; no picture is opened.",
    )
    .argument("<folder>", "the folder of all hand-ins")
    .addOption(outputOption())
    .action(async (folder: string, flags: NewClassFlags) => {
      done(await newClass(folder, flags, streams));
    });
  return withHelp(command, HELP);
}

/** No class file gives way to another, not even by force: it holds its teacher's work. */
async function requireNew(folder: string, target: string): Promise<void> {
  if (!(await isFolder(folder))) {
    throw new GraderError(
      "no-frames",
      `Expected a folder of hand-ins but there is no folder ${folder}`,
    );
  }
  if (target === "-" || !(await fileExists(target))) return;
  throw new GraderError(
    "would-overwrite",
    `Expected to write a new class file but ${target} is there already; name another with --output`,
  );
}

async function newClass(
  folder: string,
  { output }: NewClassFlags,
  streams: Streams,
): Promise<number> {
  const target = output ?? join(folder, "class.yaml");
  await requireNew(folder, target);
  const { frames, tellLeftAlone } = await framesOf([folder], streams);
  const paths = frames.map(({ path }) => path);
  const wanted = { path: target === "-" ? undefined : target, kind: "class" as const };
  const place = claimPlace(wanted, { reads: paths, force: undefined });
  const files = paths.map((path) => relative(folder, path).replaceAll("\\", "/").normalize("NFC"));
  const text = proposeClass(basename(resolve(folder)), files);
  if (text === null) {
    throw new GraderError(
      "no-frames",
      `Expected hand-ins in ${folder} but no name of a file or folder tells whose they are; make a folder for each student, or begin names with a code, such as s01_IMG_1234.jpg`,
    );
  }
  await writeResult(text, place, streams);
  if (place) tell(streams, `wrote ${place.path}; next: tonefall class check "${place.path}"`);
  tellLeftAlone();
  return EXIT.ok;
}
