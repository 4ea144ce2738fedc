import { Command, Option } from "commander";
import { GraderError } from "../model/errors.ts";
import type { FrameResult } from "../model/result.ts";
import { countText } from "../model/words.ts";
import type { PageReport } from "../output/page/pageReport.ts";
import type { CsvFlags } from "../output/text/csvColumns.ts";
import { mergeRows } from "../run/mergeRows.ts";
import { holdsRows, readRows } from "../run/readRows.ts";
import type { WritePlace } from "../run/write/writePlace.ts";
import type { CheckOutput } from "./checkFormats.ts";
import { bomOption, columnsOption } from "./csvOptions.ts";
import { type GradeOutput, gradeExit, writeGrades } from "./gradeFormats.ts";
import { GROUPS, type HelpTexts, withHelp } from "./help.ts";
import { CHECK_FORMATS, FORMATS, forceOption, outputOption } from "./options.ts";
import { claimPlaces } from "./output.ts";
import { anonymousOption, pageCode, reportOption, titleOption } from "./pageFlags.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

/** Formats of either command. */
type MergeFormat = CheckOutput["format"] | GradeOutput["format"];

interface MergeFlags extends CsvFlags {
  readonly format: MergeFormat;
  readonly output?: string;
  readonly force?: true;
  readonly failOnMiss?: true;
  readonly report?: string;
  readonly title?: string;
  readonly anonymous?: true;
}

const HELP: HelpTexts = {
  first: ["--format", "--output", "--report", "--fail-on-miss"],
  examples: `  tonefall merge week1.json week2.json -f csv -o term.csv
                                                 results of several runs
  tonefall merge part-*.ndjson -f csv -o class.csv    frames graded in parts
  tonefall merge part-*.json                     a check run in parts
  tonefall merge whole.json -f markdown          one result in another format
  tonefall merge part-*.ndjson --report class.html    one page over all parts,
                                graded or checked with --for-report

When several runs are joined, each row names the result file that it came from:
"run" in json and csv.

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
    .argument("<json...>", "results of grade (json or ndjson) or of check (json)")
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
    .addOption(reportOption())
    .addOption(titleOption())
    .addOption(anonymousOption())
    .option(
      "--fail-on-miss",
      "for results of grade: exit with 1 when a frame is too light or too dark",
    )
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
  // Apart, since most merges are of rows.
  const { readCheckFile } = await import("../sets/readCheckFile.ts");
  requireNoTitle(flags);
  const parts = [];
  for (const path of paths) {
    // What a report shows is large, and is read again part by part.
    const { view, ...part } = await readCheckFile(path);
    if (flags.report !== undefined && view === undefined) throw keepsNothing(path);
    parts.push({ path, part });
  }
  const format = chosen(CHECK_FORMATS, flags.format, "check");
  const [place = null, page = null] = placesFor(paths, { ...flags, format });
  const { writeCheck } = await import("./checkFormats.ts");
  const { mergeChecks } = await import("../sets/mergeChecks.ts");
  const merged = mergeChecks(parts.map(({ part }) => part));
  const anonymous = flags.anonymous ?? false;
  const report = page && (await (await pageCode()).checkReport(page, { anonymous }));
  try {
    parts.sort((a, b) => (a.part.shard?.index ?? 0) - (b.part.shard?.index ?? 0));
    for (const { path } of report ? parts : []) await report?.show(await readCheckFile(path));
    await report?.write(merged);
    return await writeCheck(merged, { ...flags, format }, place, streams);
  } finally {
    await report?.close();
  }
}

/** Refuses a title: a check's report has the name of its set. */
function requireNoTitle({ title }: MergeFlags): void {
  if (title === undefined) return;
  throw new GraderError(
    "bad-option",
    "Expected results of grade with --title but received those of check: their report is named after the set; leave --title out",
  );
}

function keepsNothing(path: string): GraderError {
  return new GraderError(
    "bad-option",
    `Expected parts of check --for-report with --report but ${path} keeps nothing for a report; run its part again with --for-report`,
  );
}

async function mergedGrades(
  paths: readonly string[],
  flags: MergeFlags,
  streams: Streams,
): Promise<number> {
  const format = chosen(FORMATS, flags.format, "grade");
  const [place = null, page = null] = placesFor(paths, { ...flags, format });
  const { rows, voice, joined } = await mergeRows(
    paths.map((path) => ({ name: path, rows: () => readRows(path) })),
  );
  const report = page && (await mergedReport(page, rows, flags, streams));
  try {
    const output = { ...flags, format, voice, joined, place, given: null };
    const summary = await writeGrades(reported(rows, report), null, output, streams);
    await report?.write();
    return gradeExit(summary, flags);
  } finally {
    await report?.close();
  }
}

/** Begins the page of all rows, as far as they keep what it shows. */
async function mergedReport(
  page: WritePlace,
  rows: AsyncIterable<FrameResult>,
  { title, anonymous }: MergeFlags,
  streams: Streams,
): Promise<PageReport> {
  const { keptRun, pageReport } = await pageCode();
  const { files, kits, brief, without } = await keptRun(rows);
  if (without > 0) {
    tell(
      streams,
      `the report shows figures alone for ${countText(without, "frame")}: pictures need parts graded with --for-report`,
    );
  }
  return pageReport(page, files, {
    ...(title === undefined ? {} : { title }),
    ...{ anonymous: anonymous ?? false, kits, brief },
  });
}

/** Shows rows to the report, and gives them without what only that needs. */
async function* reported(
  rows: AsyncIterable<FrameResult>,
  report: PageReport | null,
): AsyncGenerator<FrameResult> {
  for await (const row of rows) {
    await report?.add(row);
    const { view: _, ...own } = row;
    yield own;
  }
}

function placesFor(
  reads: readonly string[],
  { output, report, format, force }: MergeFlags,
): (WritePlace | null)[] {
  return claimPlaces(
    [
      { path: output, kind: format },
      { path: report, kind: "html", option: "--report" },
    ],
    { reads, force },
  );
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
