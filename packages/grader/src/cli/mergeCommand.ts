import { Command } from "commander";
import { mergeChecks } from "../set/mergeChecks.ts";
import { readCheckFile } from "../set/readCheckFile.ts";
import { type CheckOutput, checkFormatOption, writeCheck } from "./checkFormats.ts";
import { outputOption } from "./options.ts";
import type { Streams } from "./streams.ts";

const EXAMPLES = `
Examples:
  tonefall merge part-*.json                     the whole check's result
  tonefall merge part-*.json -f junit -o report.xml
  tonefall merge whole.json -f markdown          one result, in another form

Exit codes: as those of tonefall check.`;

/** `tonefall merge`. */
export function mergeCommand(streams: Streams, done: (code: number) => void): Command {
  return new Command("merge")
    .summary("join the parts of a sharded check")
    .description("Join the JSON of all parts of a check into the result that one run would give.")
    .argument("<json...>", "results of tonefall check --shard i/n -f json")
    .addOption(checkFormatOption())
    .addOption(outputOption())
    .addHelpText("after", EXAMPLES)
    .action(async (paths: string[], flags: CheckOutput) => {
      const parts = [];
      for (const path of paths) parts.push(await readCheckFile(path));
      done(await writeCheck(mergeChecks(parts), flags, streams));
    });
}
