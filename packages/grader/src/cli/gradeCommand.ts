import { Command, Option } from "commander";
import { VOICES, type Voice } from "../feedback/feedback.ts";
import { pageReport } from "../page/pageReport.ts";
import { gradeCsv } from "../report/gradeCsv.ts";
import { gradeMarkdown } from "../report/gradeMarkdown.ts";
import { gradeTable } from "../report/gradeTable.ts";
import { gradeJson, ndjsonLine } from "../report/json.ts";
import { summarise } from "../report/summarise.ts";
import type { FrameResult } from "../result.ts";
import type { FoundFrame } from "../run/findFrames.ts";
import { gradeFrames } from "../run/gradeFrames.ts";
import { withPairs } from "../run/pairShots.ts";
import { type BriefFlags, briefsOf, withBriefOptions } from "./briefFlags.ts";
import { EXIT } from "./exitCodes.ts";
import { framesOf } from "./foundFrames.ts";
import { kitOption, kitsAtHand } from "./kitOption.ts";
import {
  type Format,
  formatOption,
  jobsOption,
  midGreyOption,
  outputOption,
  type PrecisionFlags,
  precisionOf,
  withPrecision,
} from "./options.ts";
import { lineWidth, paintFor, writeResult } from "./output.ts";
import { type PageFlags, pageOptions, withPageOptions } from "./pageFlags.ts";
import { withProgress } from "./progress.ts";
import type { Streams } from "./streams.ts";

interface GradeFlags extends BriefFlags, PageFlags, PrecisionFlags {
  readonly midGrey?: number;
  readonly kit?: string;
  readonly histograms?: true;
  readonly voice: Voice | "none";
  readonly format: Format;
  readonly output?: string;
  readonly failOnMiss?: true;
  readonly jobs?: number;
}

const EXAMPLES = `
Examples:
  tonefall grade shoot/                      where the tone of every frame fell
  tonefall grade hull.jpg --place tar --region spot
                                             did it fall where tar belongs?
  tonefall grade shoot/ --place +1.5..+2.3   a range, stops from middle grey
  tonefall grade class/ --brief week1.yaml -f csv -o week1.csv
  tonefall grade hull.jpg --place tar --voice student
                                             why it missed, and what to do next
  tonefall grade shoot/ --kit kits/mine.yaml in stops of light, by a measured kit
  tonefall grade class/ --brief week1.yaml --report week1.html
                                             a page to look at and teach with
  tonefall grade samples/ --brief brief.yaml --fail-on-miss    for CI

A brief file maps globs of files to the same keys:
  "dark-*.jpg": { place: tar, region: "box:0.3,0.3,0.4,0.4", tolerance: 1/3 }

A picture's own keywords hold what neither says: tonefall:place=snow,
tonefall:region=box:0.3 0.3 0.4 0.4, tonefall:tolerance=0.5

Exit codes: 0 done; 1 a frame missed (with --fail-on-miss); 2 wrong usage;
3 some frames could not be read; 130 interrupted.`;

/** `tonefall grade`. */
export function gradeCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("grade")
    .summary("grade frames against a brief")
    .description(
      "Grade frames: where the subject's tone fell, against where it was meant to be placed, in stops.\n" +
        "Without a placement it reports the fall and gives no verdict.",
    )
    .argument("<path...>", "picture files, or folders to search through");
  withPrecision(withBriefOptions(command))
    .addOption(
      new Option("-b, --basis <basis>", "which stops the claim is in").choices([
        "rendered",
        "scene",
        "settings",
      ]),
    )
    .addOption(midGreyOption())
    .addOption(kitOption())
    .option("--histograms", "add the region's histograms to json and ndjson")
    .addOption(
      new Option("--voice <whom>", "add the grade in words, spoken to a student or a teacher")
        .choices([...VOICES, "none"])
        .default("none"),
    )
    .addOption(formatOption())
    .addOption(outputOption());
  return withPageOptions(command)
    .option("--fail-on-miss", "exit with 1 when a frame is over or under")
    .addOption(jobsOption())
    .addHelpText("after", EXAMPLES)
    .action(async (paths: string[], flags: GradeFlags) => {
      done(await grade(paths, flags, streams));
    });
}

async function grade(paths: string[], flags: GradeFlags, streams: Streams): Promise<number> {
  const { briefOf, tellUnmatched } = await briefsOf(flags);
  const { frames, unreadable } = await framesOf(paths, streams);
  const kits = await kitsAtHand(flags.kit, frames);
  const report =
    flags.report === undefined
      ? null
      : await pageReport(
          flags.report,
          frames.map(({ path }) => path.replaceAll("\\", "/")),
          { ...pageOptions(flags), kits },
        );
  const results: FrameResult[] = [];
  const streaming = flags.format === "ndjson" && flags.output === undefined;
  try {
    const graded = gradeFrames(
      frames.map(({ path }) => path),
      (_source, index) => briefOf(frames[index] as FoundFrame),
      {
        histograms: (flags.histograms ?? false) || report !== null,
        ...(report ? { look: report.look } : {}),
        kits,
        precision: precisionOf(flags),
        ...(flags.voice === "none" ? {} : { voice: flags.voice }),
        ...(flags.midGrey === undefined ? {} : { middleGrey: flags.midGrey }),
        ...(flags.jobs === undefined ? {} : { jobs: flags.jobs }),
      },
    );
    for await (const result of withProgress(withPairs(graded), frames.length, streams)) {
      await report?.add(result);
      const row = told(result, flags);
      if (streaming) streams.stdout.write(ndjsonLine(row));
      results.push(row);
    }
    await report?.write();
  } finally {
    await report?.close();
  }
  if (!streaming) await writeResult(format(results, flags, streams), flags.output, streams);
  tellUnmatched(streams);
  return exitCode(results, flags, unreadable);
}

/** Histograms that only the report asked for stay in the report. */
function told(result: FrameResult, { histograms: wanted }: GradeFlags): FrameResult {
  if (wanted) return result;
  const { histograms: _, sensor, ...rest } = result;
  return {
    ...rest,
    sensor: sensor && {
      ...sensor,
      channels: sensor.channels.map(({ histograms: _, ...channel }) => channel),
    },
  };
}

function format(results: readonly FrameResult[], flags: GradeFlags, streams: Streams): string {
  switch (flags.format) {
    case "json":
      return gradeJson(results);
    case "ndjson":
      return results.map(ndjsonLine).join("");
    case "csv":
      return gradeCsv(results);
    case "markdown":
      return gradeMarkdown(results);
    case "table":
      return gradeTable(results, {
        width: lineWidth(streams, flags.output),
        paint: paintFor(streams, flags.output),
      });
  }
}

function exitCode(
  results: readonly FrameResult[],
  { failOnMiss }: GradeFlags,
  unreadable: boolean,
): number {
  const { over, under, failed } = summarise(results);
  // What could not be read was not judged either: that comes first.
  if (failed > 0 || unreadable) return EXIT.unreadable;
  return failOnMiss && over + under > 0 ? EXIT.missed : EXIT.ok;
}
