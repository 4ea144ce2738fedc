import { Command, Option } from "commander";
import { GraderError } from "../model/errors.ts";
import { mergeRows } from "../run/mergeRows.ts";
import { holdsRows, readRows } from "../run/readRows.ts";
import type { WritePlace } from "../run/write/writePlace.ts";
import { mergeChecks } from "../sets/mergeChecks.ts";
import { readCheckFile } from "../sets/readCheckFile.ts";
import { CHECK_FORMATS, type CheckOutput, writeCheck } from "./checkFormats.ts";
import { type GradeOutput, gradeExit, writeGrades } from "./gradeFormats.ts";
import { FORMATS, forceOption, outputOption } from "./options.ts";
import { claimPlaces } from "./output.ts";
import type { Streams } from "./streams.ts";

/** Which of the formats an option of both commands' may name. */
type MergeFormat = CheckOutput["format"] | GradeOutput["format"];

interface MergeFlags {
  readonly format: MergeFormat;
  readonly output?: string;
  readonly force?: true;
  readonly failOnMiss?: true;
}

const EXAMPLES = `
Examples:
  tonefall merge part-*.json                     the whole check's result
  tonefall merge part-*.json -f junit -o report.xml
  tonefall merge whole.json -f markdown          one result, in another form
  tonefall merge part-*.ndjson -f csv -o class.csv    frames graded in parts

Results of check come as table, json, markdown, junit, tap, github or sarif;
those of grade as table, json, ndjson, csv or markdown.

Exit codes: as those of the command whose results they are.`;

/** `tonefall merge`. */
export function mergeCommand(streams: Streams, done: (code: number) => void): Command {
  return new Command("merge")
    .summary("join the parts of a sharded check or grade")
    .description("Join the results of all parts of a run into the result that one run would give.")
    .argument("<json...>", "json of tonefall check or grade --shard i/n; of grade ndjson too")
    .addOption(
      new Option("-f, --format <format>", "form of the result")
        .choices([...new Set<MergeFormat>([...CHECK_FORMATS, ...FORMATS])])
        .default("table"),
    )
    .addOption(outputOption())
    .addOption(forceOption())
    .option("--fail-on-miss", "of grade: exit with 1 when a frame is over or under")
    .addHelpText("after", EXAMPLES)
    .action(async (paths: string[], flags: MergeFlags) => {
      const graded = await holdsRows(paths[0] as string);
      done(await (graded ? mergedGrades : mergedChecks)(paths, flags, streams));
    });
}

async function mergedChecks(
  paths: readonly string[],
  flags: MergeFlags,
  streams: Streams,
): Promise<number> {
  const format = chosen(CHECK_FORMATS, flags.format, "check");
  const place = placeFor(paths, { ...flags, format });
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
  const place = placeFor(paths, { ...flags, format });
  const { rows, voice } = await mergeRows(
    paths.map((path) => ({ name: path, rows: () => readRows(path) })),
  );
  const output = { ...flags, format, voice, place, given: null };
  return gradeExit(await writeGrades(rows, null, output, streams), flags);
}

function placeFor(
  reads: readonly string[],
  { output, format, force }: MergeFlags,
): WritePlace | null {
  const [place = null] = claimPlaces([{ path: output, kind: format }], { reads, force });
  return place;
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
    `Expected a format that results of ${command} have (${known.join(", ")}) but received "${format}"`,
  );
}
