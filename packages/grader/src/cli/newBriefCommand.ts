import { join, relative } from "node:path";
import { Command } from "commander";
import { type BriefedFile, proposeBrief } from "../brief/proposeBrief.ts";
import { countText } from "../model/words.ts";
import { readFrames } from "../run/gradeFrames.ts";
import { EXIT } from "./exitCodes.ts";
import { framesOfFolder } from "./foundFrames.ts";
import { COMMON_CODES, type HelpTexts, withHelp } from "./help.ts";
import { forceOption, outputOption } from "./options.ts";
import { claimPlace, writeResult } from "./output.ts";
import { withProgress } from "./progress.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

interface NewBriefFlags {
  readonly output?: string;
  readonly force?: true;
}

const HELP: HelpTexts = {
  examples: `  tonefall new-brief shoot/          writes shoot/brief.yaml
  tonefall new-brief shoot/ -o -     prints it instead
  tonefall grade shoot/ --brief shoot/brief.yaml`,
  exitCodes: `0 written; 2 wrong usage, or the file exists already;
3 some frames could not be read and are left out;
${COMMON_CODES}.`,
};

/** `tonefall new-brief`. */
export function newBriefCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("new-brief")
    .description(
      "Write a first brief file for a folder of pictures. It works as it is and has a line ready for every picture.",
    )
    .argument("<folder>", "a folder of pictures")
    .addOption(outputOption())
    .addOption(forceOption())
    .action(async (folder: string, flags: NewBriefFlags) => {
      done(await newBrief(folder, flags, streams));
    });
  return withHelp(command, HELP);
}

async function newBrief(
  folder: string,
  { output, force }: NewBriefFlags,
  streams: Streams,
): Promise<number> {
  const target = output ?? join(folder, "brief.yaml");
  const { frames, unreadable } = await framesOfFolder(folder, streams);
  const paths = frames.map(({ path }) => path);
  const wanted = { path: target === "-" ? undefined : target, kind: "brief" as const };
  const place = claimPlace(wanted, { reads: paths, force });
  const files: BriefedFile[] = [];
  let failed = 0;
  for await (const row of withProgress(readFrames(paths), paths.length, streams)) {
    const file = relative(folder, paths[files.length] as string).replaceAll("\\", "/");
    files.push({ file, row });
    if (row.failure === null) continue;
    failed++;
    tell(streams, `${row.file} is left out: ${row.failure.message}`);
  }
  const brief = target === "-" ? "brief.yaml" : target;
  const text = proposeBrief(files, `tonefall grade ${spoken(folder)} --brief ${spoken(brief)}`);
  await writeResult(text, place, streams);
  if (place)
    tell(streams, `wrote ${place.path} for ${countText(files.length - failed, "picture")}`);
  return failed > 0 || unreadable ? EXIT.unreadable : EXIT.ok;
}

/** A path as it is typed in a shell. */
function spoken(path: string): string {
  return /^[\w./-]+$/.test(path) ? path : JSON.stringify(path);
}
