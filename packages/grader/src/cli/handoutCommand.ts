import { basename } from "node:path";
import { Command, Option } from "commander";
import { readBriefFile } from "../brief/briefFile.ts";
import { exerciseOfBriefs } from "../output/handout/exercise.ts";
import { handoutPage, MORE_DECODERS, type MoreDecoder } from "../output/handout/handoutPage.ts";
import { EXIT } from "./exitCodes.ts";
import { COMMON_CODES, GROUPS, type HelpTexts, withHelp } from "./help.ts";
import { forceOption, outputOption } from "./options.ts";
import { claimPlaces, writeResult } from "./output.ts";
import type { Streams } from "./streams.ts";

interface HandoutFlags {
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
                                reads raw files and HEIC too; 2 MB more
  tonefall handout week1.yaml -o week1.html --hide-verdict
                                checks that all is there, and grades nothing

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
    .summary("write a page on which students grade their own pictures")
    .description("Write one HTML file on which students grade their own pictures for a brief.")
    .argument("<brief>", "a brief file: each glob that places a tone is a task")
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
      new Option("--hide-verdict", "check that all is there; show no fall and no verdict").helpGroup(
        GROUPS.output,
      ),
    )
    .action(async (brief: string, flags: HandoutFlags) => {
      done(await handout(brief, flags, streams));
    });
  return withHelp(command, HELP);
}
