import { Command, Option } from "commander";
import type { Brief } from "../brief/brief.ts";
import type { NamedKit } from "../kit/kitFile.ts";
import type { Shard } from "../model/checkResult.ts";
import { GraderError } from "../model/errors.ts";
import { VOICES, type Voice } from "../model/feedback.ts";
import type { FrameResult } from "../model/result.ts";
import type { PageReport } from "../output/page/pageReport.ts";
import { ORDERS } from "../output/text/gradeTable.ts";
import type { GivenOptions } from "../output/text/whatNext.ts";
import { gradeFrames, type RunOptions } from "../run/gradeFrames.ts";
import { buildVersion } from "../run/memory/buildVersion.ts";
import { digestOf, optionsDigest } from "../run/memory/claimDigest.ts";
import { openJournal } from "../run/memory/journal.ts";
import { withPairs } from "../run/pairShots.ts";
import { shardBlock } from "../run/shardBlock.ts";
import { summedRow } from "../run/summedRow.ts";
import { type BriefFlags, briefsOf, withBriefOptions } from "./briefFlags.ts";
import { userCache } from "./cacheFolder.ts";
import { EXIT } from "./exitCodes.ts";
import { folderTexts } from "./folderTexts.ts";
import { framesOf } from "./foundFrames.ts";
import { type GradeOutput, gradeExit, gradeWriter, writeGrades } from "./gradeFormats.ts";
import { kitOption, kitsAtHand } from "./kitOption.ts";
import {
  forceOption,
  formatOption,
  jobsOption,
  type LimitFlags,
  limitsOf,
  midGreyOption,
  outputOption,
  type PrecisionFlags,
  precisionOf,
  shardOption,
  withLimitOptions,
  withPrecision,
} from "./options.ts";
import { claimPlaces } from "./output.ts";
import { type PageFlags, pageCode, pageOptions, withPageOptions } from "./pageFlags.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

interface GradeFlags extends BriefFlags, LimitFlags, PageFlags, PrecisionFlags, GradeOutput {
  readonly midGrey?: number;
  readonly kit?: string;
  readonly histograms?: true;
  readonly voice: Voice | "none";
  readonly resume?: string;
  readonly byFolder?: string;
  readonly shard?: Shard;
  readonly cache: boolean;
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
  tonefall grade shoot/ --kit kits/mine.yaml in stops of light, by a kit
  tonefall grade class/ --brief week1.yaml --report week1.html
                                             a page to look at and teach with
  tonefall grade samples/ --brief brief.yaml --fail-on-miss    for CI
  tonefall grade class/ --brief week1.yaml --voice student --by-folder class/
                                   grades in words, to hand back:
                                   a grades.txt in each student's folder
  tonefall grade shoot/ --sort worst         what needs eyes first
  tonefall grade term/ --resume term.journal -f csv -o term.csv
                                   the same again goes on where it was stopped
  tonefall grade term/ --shard 2/8 -f ndjson -o part-2.ndjson
                                   and then: tonefall merge part-*.ndjson

A brief file maps globs of files to the same keys:
  "dark-*.jpg": { place: tar, region: "box:0.3,0.3,0.4,0.4", tolerance: 1/3 }

A picture's own keywords hold what neither says: tonefall:place=snow,
tonefall:region=box:0.3 0.3 0.4 0.4, tonefall:tolerance=0.5

Exit codes: 0 done; 1 a frame missed (with --fail-on-miss); 2 wrong usage;
3 some frames could not be read; 130 interrupted, 143 terminated.`;

/** `tonefall grade`. */
export function gradeCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("grade")
    .summary("grade frames against a brief")
    .description(
      "Grade frames: where the subject's tone fell, against where it was meant to be placed, in stops. " +
        "Without a placement it reports the fall and gives no verdict.",
    )
    .argument("<path...>", "picture files, or folders to search through");
  withPrecision(withLimitOptions(withBriefOptions(command)))
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
    .addOption(outputOption())
    .addOption(forceOption());
  return withPageOptions(command)
    .addOption(
      new Option(
        "--sort <order>",
        "rows by folder, or worst first: misses, clipped or black subjects, cannot tell, failures",
      )
        .choices(ORDERS)
        .default("folder")
        .conflicts("shard"),
    )
    .option(
      "--by-folder <folder>",
      "write the result for each folder of frames too: grades.txt in folders of the same names below this one",
    )
    .option("--fail-on-miss", "exit with 1 when a frame is over or under")
    .option(
      "--resume <journal>",
      "note finished frames in this file, and go on from them when the run is started again",
    )
    .addOption(shardOption())
    .option("--no-cache", "grade every frame, as if none had been graded before")
    .addOption(jobsOption())
    .addHelpText("after", EXAMPLES)
    .action(async (paths: string[], flags: GradeFlags) => {
      done(await grade(paths, flags, streams));
    });
}

async function grade(paths: string[], flags: GradeFlags, streams: Streams): Promise<number> {
  if (flags.report !== undefined && flags.resume !== undefined) {
    throw new GraderError(
      "bad-option",
      "Expected --report or --resume but received both: a report needs every frame's pixels, which a journal has not",
    );
  }
  const { briefOf, said, tellUnmatched } = await briefsOf(flags);
  const { frames, unreadable, tellLeftAlone } = await framesOf(paths, streams);
  const kits = await kitsAtHand(flags.kit, frames);
  const briefs = frames.map(briefOf);
  const files = frames.map(({ path }) => path);
  const [place = null, page = null] = claimPlaces(
    [
      { path: flags.output, kind: flags.format },
      { path: flags.report, kind: "html", option: "--report" },
      { path: flags.resume, kind: "journal", option: "--resume" },
    ],
    { reads: [...files, flags.brief, flags.kit], force: flags.force },
  );
  const { from, to } = flags.shard
    ? shardBlock(frames.length, flags.shard)
    : { from: 0, to: frames.length };
  const names = files.slice(from, to).map((path) => path.replaceAll("\\", "/"));
  const report =
    page && (await (await pageCode()).pageReport(page, names, { ...pageOptions(flags), kits }));
  const options = runOptions(flags, kits, report);
  const voice = options.voice ?? null;
  const context = { voice, given: givenOptions(flags, kits) };
  const folders =
    flags.byFolder === undefined
      ? null
      : folderTexts(names, flags.byFolder, {
          format: flags.format,
          reads: [flags.brief, flags.kit],
          writes: [flags.output, flags.report, flags.resume],
          force: flags.force,
          // Set for a file, not for this terminal; who receives it has no command to try next.
          writer: () => {
            const handedBack = { ...flags, voice, given: null, output: flags.byFolder ?? "" };
            return gradeWriter(handedBack, streams);
          },
        });
  const journal =
    flags.resume === undefined ? null : await openJournal(flags.resume, { brief: said, options });
  if (journal && journal.rows > 0) {
    tell(streams, `going on from ${journal.rows} rows in ${flags.resume}`);
  }
  if (journal && journal.damaged > 0) {
    const lines = journal.damaged === 1 ? "line" : "lines";
    tell(streams, `${journal.damaged} damaged ${lines} in ${flags.resume}; graded again`);
  }
  const cache = flags.cache ? userCache(streams) : null;
  const memory = [journal, cache].filter((one) => one !== null);

  const graded = gradeFrames(
    files.slice(from, to),
    (_source, index) => briefs[from + index] as Brief,
    { ...options, memory },
  );
  const run =
    flags.shard &&
    digestOf({ version: buildVersion(), files, briefs, options: optionsDigest(options) });
  async function* rows(): AsyncGenerator<FrameResult> {
    let place = from;
    for await (const result of withPairs(graded, names)) {
      place++;
      await report?.add(result);
      const row = told(result, flags);
      yield flags.shard && run
        ? summedRow(row, { ...flags.shard, place, frames: files.length, run, voice })
        : row;
    }
  }
  try {
    const output = { ...flags, ...context, place };
    const summary = await writeGrades(rows(), names.length, output, streams, folders?.add);
    await report?.write();
    const written = (await folders?.write(streams)) ?? 0;
    if (written > 0) {
      tell(
        streams,
        `wrote ${written === 1 ? "1 file" : `${written} files`} below ${flags.byFolder}`,
      );
    }
    tellUnmatched(streams);
    tellLeftAlone();
    return unreadable ? EXIT.unreadable : gradeExit(summary, flags);
  } finally {
    await report?.close();
    await journal?.close();
    await cache?.close();
  }
}

/** What the run was given already, so that the table suggests something else. */
function givenOptions(flags: GradeFlags, kits: readonly NamedKit[]): GivenOptions {
  return {
    voice: flags.voice !== "none",
    report: flags.report !== undefined,
    region: flags.region !== undefined || flags.brief !== undefined,
    kit: kits.length > 0,
  };
}

function runOptions(
  flags: GradeFlags,
  kits: readonly NamedKit[],
  report: PageReport | null,
): RunOptions {
  return {
    histograms: (flags.histograms ?? false) || report !== null,
    ...(report ? { look: report.look } : {}),
    kits,
    precision: precisionOf(flags),
    ...(flags.voice === "none" ? {} : { voice: flags.voice }),
    ...limitsOf(flags),
    ...(flags.midGrey === undefined ? {} : { middleGrey: flags.midGrey }),
    ...(flags.jobs === undefined ? {} : { jobs: flags.jobs }),
  };
}

/** Histograms that only the report asked for stay in the report. */
function told(result: FrameResult, { histograms: wanted }: GradeFlags): FrameResult {
  if (wanted) return result;
  const { histograms: _, ...row } = result;
  const { sensor } = row;
  return {
    ...row,
    sensor: sensor && {
      ...sensor,
      channels: sensor.channels.map(({ histograms: _, ...channel }) => channel),
    },
  };
}
