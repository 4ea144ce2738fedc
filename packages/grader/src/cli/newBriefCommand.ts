import { join, relative } from "node:path";
import { Command } from "commander";
import { proposeBrief } from "../brief/proposeBrief.ts";
import { readFrames } from "../run/gradeFrames.ts";
import { EXIT } from "./exitCodes.ts";
import { framesOf } from "./foundFrames.ts";
import { outputOption } from "./options.ts";
import { requireNew, writeResult } from "./output.ts";
import { withProgress } from "./progress.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

const EXAMPLES = `
Examples:
  tonefall new-brief shoot/          writes shoot/brief.yaml
  tonefall new-brief shoot/ -o -     prints it instead
  tonefall grade shoot/ --brief shoot/brief.yaml

Exit codes: 0 written; 2 wrong usage, or the file exists already;
3 some frames could not be read and are left out; 130 interrupted.`;

/** `tonefall new-brief`. */
export function newBriefCommand(streams: Streams, done: (code: number) => void): Command {
  return new Command("new-brief")
    .summary("write a first brief file for a folder")
    .description(
      "Write a first brief file for a folder of pictures. It works as it is and has a line ready for every picture.",
    )
    .argument("<folder>", "a folder of pictures")
    .addOption(outputOption())
    .addHelpText("after", EXAMPLES)
    .action(async (folder: string, flags: { readonly output?: string }) => {
      done(await newBrief(folder, flags.output ?? join(folder, "brief.yaml"), streams));
    });
}

async function newBrief(folder: string, target: string, streams: Streams): Promise<number> {
  await requireNew(target, "brief file");
  const { frames, unreadable } = await framesOf([folder], streams);
  const paths = frames.map(({ path }) => path);
  const files = [];
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
  await writeResult(text, target === "-" ? undefined : target, streams);
  return failed > 0 || unreadable ? EXIT.unreadable : EXIT.ok;
}

/** A path as it is typed in a shell. */
function spoken(path: string): string {
  return /^[\w./-]+$/.test(path) ? path : JSON.stringify(path);
}
