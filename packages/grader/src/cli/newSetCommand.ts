import { basename, join, relative, resolve, sep } from "node:path";
import { Command } from "commander";
import type { FrameResult } from "../model/result.ts";
import { gradeFrames } from "../run/gradeFrames.ts";
import { type ProposedFrame, proposeSet } from "../sets/proposeSet.ts";
import { EXIT } from "./exitCodes.ts";
import { framesOfFolder } from "./foundFrames.ts";
import { COMMON_CODES, type HelpTexts, withHelp } from "./help.ts";
import { forceOption, jobsOption, outputOption } from "./options.ts";
import { claimPlaces, writeResult } from "./output.ts";
import { withProgress } from "./progress.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

interface NewSetFlags {
  readonly region: string;
  readonly output?: string;
  readonly force?: true;
  readonly jobs?: number;
}

const HELP: HelpTexts = {
  examples: `  tonefall new-set shoot/                 writes shoot/set.yaml
  tonefall new-set shoot/ -r whole -o -   prints it instead`,
  exitCodes: `0 written; 2 wrong usage, or the file exists already;
3 some frames could not be read and are left out;
${COMMON_CODES}.`,
};

/** `tonefall new-set`. */
export function newSetCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("new-set")
    .description(
      "Write a first set file for a folder of pictures. What they show now becomes claims; brackets, " +
        "equivalents and recomposed pairs become relations. All are comments for you to confirm.",
    )
    .argument("<folder>", "a folder of pictures")
    .option("-r, --region <region>", "the subject of every frame, as in grade", "spot")
    .addOption(outputOption())
    .addOption(forceOption())
    .addOption(jobsOption())
    .action(async (folder: string, flags: NewSetFlags) => {
      done(await newSet(folder, flags, streams));
    });
  return withHelp(command, HELP);
}

async function newSet(folder: string, flags: NewSetFlags, streams: Streams): Promise<number> {
  const target = flags.output ?? join(folder, "set.yaml");
  const { frames, unreadable } = await framesOfFolder(folder, streams);
  const files = frames.map(({ path }) => path);
  // No set file gives way to another: it holds its author's words.
  const wanted = { path: target === "-" ? undefined : target, kind: "set" as const };
  const [place = null] = claimPlaces([wanted], { reads: files, force: flags.force });
  const graded = gradeFrames(
    files,
    { region: flags.region },
    { precision: "exact", ...(flags.jobs === undefined ? {} : { jobs: flags.jobs }) },
  );
  const rows: FrameResult[] = [];
  for await (const row of withProgress(graded, frames.length, streams)) rows.push(row);
  const proposed = rows.map((row, i): ProposedFrame => {
    const path = relative(folder, files[i] as string);
    return { file: path.split(sep).join("/"), row };
  });
  const text = proposeSet(basename(resolve(folder)), proposed);
  await writeResult(text, place, streams);
  const failed = rows.filter(({ failure }) => failure !== null);
  if (place) {
    const next = `read its comments, then tonefall check "${place.path}"`;
    tell(streams, `wrote ${place.path}; next: ${next}`);
  }
  for (const { file, failure } of failed) {
    tell(streams, `${file} is left out: ${failure?.message}`);
  }
  return failed.length > 0 || unreadable ? EXIT.unreadable : EXIT.ok;
}
