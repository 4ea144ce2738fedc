import { access } from "node:fs/promises";
import { basename, join, relative, resolve } from "node:path";
import { Command } from "commander";
import { GraderError } from "../errors.ts";
import type { FrameResult } from "../result.ts";
import { gradeFrames } from "../run/gradeFrames.ts";
import { type ProposedFrame, proposeSet } from "../set/proposeSet.ts";
import { EXIT } from "./exitCodes.ts";
import { framesOf } from "./foundFrames.ts";
import { jobsOption, outputOption } from "./options.ts";
import { writeResult } from "./output.ts";
import { withProgress } from "./progress.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

interface NewSetFlags {
  readonly region: string;
  readonly output?: string;
  readonly jobs?: number;
}

const EXAMPLES = `
Examples:
  tonefall new-set shoot/               writes shoot/set.yaml
  tonefall new-set shoot/ -r whole -o -   to look at first

Exit codes: 0 written; 2 wrong usage, or there is a set file already;
3 some frames could not be read and are left out; 130 interrupted.`;

/** `tonefall new-set`. */
export function newSetCommand(streams: Streams, done: (code: number) => void): Command {
  return new Command("new-set")
    .summary("write a first set file for a folder")
    .description(
      "Write a first set file for a folder of pictures: what they show now stands in it as claims, " +
        "and brackets, equivalents and recomposed pairs as relations, all in comments to confirm.",
    )
    .argument("<folder>", "a folder of pictures")
    .option("-r, --region <region>", "the subject of every frame, as in grade", "spot")
    .addOption(outputOption())
    .addOption(jobsOption())
    .addHelpText("after", EXAMPLES)
    .action(async (folder: string, flags: NewSetFlags) => {
      done(await newSet(folder, flags, streams));
    });
}

async function newSet(folder: string, flags: NewSetFlags, streams: Streams): Promise<number> {
  const target = flags.output ?? join(folder, "set.yaml");
  // Words that an author has put into a set file are never written over.
  if (target !== "-" && (await exists(target))) {
    throw new GraderError(
      "bad-option",
      `Expected no set file yet but ${target} is there; name another with --output`,
    );
  }
  const { frames, unreadable } = await framesOf([folder], streams);
  const graded = gradeFrames(
    frames.map(({ path }) => path),
    { region: flags.region },
    { precision: "exact", ...(flags.jobs === undefined ? {} : { jobs: flags.jobs }) },
  );
  const rows: FrameResult[] = [];
  for await (const row of withProgress(graded, frames.length, streams)) rows.push(row);
  const proposed = rows.map((row, i): ProposedFrame => {
    const path = relative(folder, frames[i]?.path as string);
    return { file: path.replaceAll("\\", "/"), row };
  });
  const text = proposeSet(basename(resolve(folder)), proposed);
  await writeResult(text, target === "-" ? undefined : target, streams);
  const failed = rows.filter(({ failure }) => failure !== null);
  for (const { file, failure } of failed) {
    tell(streams, `${file} is left out: ${failure?.message}`);
  }
  return failed.length > 0 || unreadable ? EXIT.unreadable : EXIT.ok;
}

async function exists(path: string): Promise<boolean> {
  try {
    await access(path);
    return true;
  } catch {
    return false;
  }
}
