import { Command, Option } from "commander";
import { GraderError } from "../model/errors.ts";
import type { CsvFlags } from "../output/text/csvColumns.ts";
import { mergeRows } from "../run/mergeRows.ts";
import { holdsRows, readRows } from "../run/readRows.ts";
import { mergeChecks } from "../sets/mergeChecks.ts";
import { readCheckFile } from "../sets/readCheckFile.ts";
import { CHECK_FORMATS, type CheckOutput, writeCheck } from "./checkFormats.ts";
import { bomOption, columnsOption } from "./csvOptions.ts";
import { type GradeOutput, gradeExit, writeGrades } from "./gradeFormats.ts";
import { GROUPS, type HelpTexts, withHelp } from "./help.ts";
import { FORMATS, forceOption, outputOption } from "./options.ts";
import { resultPlace } from "./output.ts";
import type { Streams } from "./streams.ts";

/** Formats of either command. */
type MergeFormat = CheckOutput["format"] | GradeOutput["format"];

interface MergeFlags extends CsvFlags {
  readonly format: MergeFormat;
  readonly output?: string;
  readonly force?: true;
  readonly failOnMiss?: true;
}

const HELP: HelpTexts = {
  examples: `  tonefall merge week1.json week2.json -f csv -o term.csv
                                                 results of several runs
  tonefall merge part-*.ndjson -f csv -o class.csv    frames graded in parts
  tonefall merge part-*.json                     a check run in parts
  tonefall merge whole.json -f markdown          one result in another format

Rows of several runs name the result file they came from: "run" in JSON and csv.

Results of check come as table, json, markdown, junit, tap, github or sarif;
those of grade as table, json, ndjson, csv or markdown.`,
  exitCodes: `those of the command that gave the results; 2 also where a part is
missing or damaged, or rows appear twice.`,
};

/** `tonefall merge`. */
export function mergeCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("merge")
    .description(
      "Join results of several runs of grade into one, or the parts of a split grade or check " +
        "into what one run would give.",
    )
    .argument("<json...>", "json of tonefall grade or check; of grade ndjson too")
    .optionsGroup(GROUPS.output)
    .addOption(
      new Option("-f, --format <format>", "format of the result")
        .choices([...new Set<MergeFormat>([...CHECK_FORMATS, ...FORMATS])])
        .default("table"),
    )
    .addOption(outputOption())
    .addOption(columnsOption())
    .addOption(bomOption())
    .addOption(forceOption())
    .option("--fail-on-miss", "of grade: exit with 1 when a frame is too light or too dark")
    .action(async (paths: string[], flags: MergeFlags) => {
      const graded = await holdsRows(paths[0] as string);
      done(await (graded ? mergedGrades : mergedChecks)(paths, flags, streams));
    });
  return withHelp(command, HELP);
}

async function mergedChecks(
  paths: readonly string[],
  flags: MergeFlags,
  streams: Streams,
): Promise<number> {
  const format = chosen(CHECK_FORMATS, flags.format, "check");
  const place = resultPlace(paths, { ...flags, format });
  const parts = [];
  for (const path of paths) parts.push(await readCheckFile(path));
  return writeCheck(mergeChecks(parts), { ...flags, format }, place, streams);
}

async function mergedGrades(
  paths: readonly string[],
  flags: MergeFlags,
  streams: Streams,
): Promise<number> {
  const format = chosen(FORMATS, flags.format, "grade");
  const place = resultPlace(paths, { ...flags, format });
  const { rows, voice, joined } = await mergeRows(
    paths.map((path) => ({ name: path, rows: () => readRows(path) })),
  );
  const output = { ...flags, format, voice, joined, place, given: null };
  return gradeExit(await writeGrades(rows, null, output, streams), flags);
}

function chosen<Name extends MergeFormat>(
  known: readonly Name[],
  format: MergeFormat,
  command: string,
): Name {
  const name = known.find((one) => one === format);
  if (name !== undefined) return name;
  throw new GraderError(
    "bad-option",
    `Expected a format of ${command} results (${known.join(", ")}) but received "${format}"`,
  );
}
