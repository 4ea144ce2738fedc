import { basename, extname, join } from "node:path";
import { Command, InvalidArgumentError, Option } from "commander";
import { readBriefFile } from "../brief/briefFile.ts";
import { readClass } from "../classes/readClass.ts";
import { GraderError } from "../model/errors.ts";
import { countText } from "../model/words.ts";
import { type Exercise, exerciseOfBriefs, exerciseOfClass } from "../output/handout/exercise.ts";
import { handoutPage, MORE_DECODERS, type MoreDecoder } from "../output/handout/handoutPage.ts";
import { EXIT } from "./exitCodes.ts";
import { COMMON_CODES, GROUPS, type HelpTexts, withHelp } from "./help.ts";
import { forceOption, outputOption } from "./options.ts";
import { claimPlaces, makeFolder, writeResult } from "./output.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

interface HandoutFlags {
  readonly class?: string;
  readonly output?: string;
  readonly force?: true;
  readonly title?: string;
  readonly with?: readonly MoreDecoder[];
  readonly hideVerdict?: true;
}

const HELP: HelpTexts = {
  examples: `  tonefall handout week1.yaml -o week1.html
                                mail it, or put it on any web space
  tonefall handout week1.yaml -o week1.html --with raw,heic
                                reads raw files and HEIC too; 1.4 MB more
  tonefall handout week1.yaml -o week1.html --hide-verdict
                                checks that all is there, and grades nothing
  tonefall handout --class class.yaml -o pages/
                                a page for each exercise of a class file

Students open the page in a browser, on a phone too. They choose pictures and
see where the tone fell, why, and what to do next. Nothing is installed, and
nothing is sent anywhere. They hand in the slip that the page saves, and the
pictures.`,
  exitCodes: `0 written; 2 wrong usage, or a brief that cannot be read;
${COMMON_CODES}.`,
};

/** `tonefall handout`. */
export function handoutCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("handout")
    .description("Write one HTML file on which students grade their own pictures for a brief.")
    .argument("[brief]", "a brief file: each glob that places a tone is a task")
    .addOption(
      new Option("--class <file>", "a class file: a page for each exercise, in a folder").helpGroup(
        GROUPS.subject,
      ),
    )
    .addOption(outputOption())
    .addOption(forceOption())
    .addOption(
      new Option("--title <text>", "the page's title")
        .default(undefined, "the brief file's name")
        .helpGroup(GROUPS.output),
    )
    .addOption(
      new Option("--with <list>", `more decoders, separated by commas: ${MORE_DECODERS.join(", ")}`)
        .argParser(decodersIn)
        .helpGroup(GROUPS.output),
    )
    .addOption(
      new Option(
        "--hide-verdict",
        "check only that all is there; show no fall and no verdict",
      ).helpGroup(GROUPS.output),
    )
    .action(async (brief: string | undefined, flags: HandoutFlags) => {
      done(await handout(brief, flags, streams));
    });
  return withHelp(command, HELP);
}

function decodersIn(list: string): readonly MoreDecoder[] {
  const names = list.split(",").map((name) => name.trim());
  const unknown = names.find((name) => !MORE_DECODERS.some((known) => known === name));
  if (unknown === undefined) return MORE_DECODERS.filter((known) => names.includes(known));
  throw new InvalidArgumentError(`Expected ${MORE_DECODERS.join(" or ")}, or both with a comma.`);
}

async function handout(
  brief: string | undefined,
  flags: HandoutFlags,
  streams: Streams,
): Promise<number> {
  if ((brief === undefined) === (flags.class === undefined)) {
    throw new GraderError(
      "bad-option",
      "Expected a brief file, or a class file after --class; give one of them",
    );
  }
  if (flags.class !== undefined) return classHandouts(flags.class, flags, streams);
  const from = brief as string;
  const [place = null] = claimPlaces([{ path: flags.output, kind: "html" }], {
    reads: [from],
    force: flags.force,
  });
  const { entries } = await readBriefFile(from);
  const title = flags.title ?? basename(from, extname(from));
  await writeResult(await pageOf(exerciseOfBriefs(entries, title), flags), place, streams);
  return EXIT.ok;
}

/** One page for each exercise of a class, named by its ID. */
async function classHandouts(path: string, flags: HandoutFlags, streams: Streams): Promise<number> {
  const { output: folder } = flags;
  if (folder === undefined || folder === "-") {
    throw new GraderError("bad-option", "Expected a folder after -o: a class has several pages");
  }
  const { exercises } = await readClass(path);
  await makeFolder(folder, "--output");
  const wanted = exercises.map(({ id }) => ({
    path: join(folder, `${id}.html`),
    kind: "html" as const,
  }));
  const places = claimPlaces(wanted, { reads: [path], force: flags.force });
  for (const [i, exercise] of exercises.entries()) {
    const page = await pageOf(exerciseOfClass(exercise), flags);
    await writeResult(page, places[i] ?? null, streams);
  }
  tell(streams, `wrote ${countText(exercises.length, "page")} in ${folder}`);
  return EXIT.ok;
}

function pageOf(exercise: Exercise, flags: HandoutFlags): Promise<string> {
  return handoutPage(exercise, {
    with: flags.with ?? [],
    hideVerdict: flags.hideVerdict ?? false,
  });
}
