import { Command, Option } from "commander";
import type { Brief } from "../brief/brief.ts";
import type { NamedKit } from "../kit/kit.ts";
import type { Shard } from "../model/checkResult.ts";
import { GraderError } from "../model/errors.ts";
import { VOICES, type Voice } from "../model/feedback.ts";
import type { FrameResult } from "../model/result.ts";
import { sharedFolder } from "../model/sharedFolder.ts";
import { countText } from "../model/words.ts";
import type { ViewKeeper } from "../output/page/keptView.ts";
import type { PageReport } from "../output/page/pageReport.ts";
import { ORDERS } from "../output/text/gradeTable.ts";
import type { GivenOptions } from "../output/text/whatNext.ts";
import { gradeFrames, type RunOptions } from "../run/gradeFrames.ts";
import { buildVersion } from "../run/memory/buildVersion.ts";
import { digestOf, optionsDigest } from "../run/memory/claimDigest.ts";
import type { Journal, JournaledRun } from "../run/memory/journal.ts";
import { withPairs } from "../run/pairShots.ts";
import { shardBlock, weightsOf } from "../run/shardBlock.ts";
import { summedRow } from "../run/summedRow.ts";
import type { WritePlace } from "../run/write/writePlace.ts";
import { BRIEF_DETAILS, type BriefFlags, briefsOf, withBriefOptions } from "./briefFlags.ts";
import { bomOption, CSV_DETAILS, columnsOption } from "./csvOptions.ts";
import { failureCount } from "./exitCodes.ts";
import { type FolderTexts, folderTexts } from "./folderTexts.ts";
import { type GradeOutput, gradeExit, gradeWriter, writeGrades } from "./gradeFormats.ts";
import { COMMON_CODES, GROUPS, type HelpTexts, withHelp } from "./help.ts";
import { kitOption, kitsAtHand } from "./kitOption.ts";
import {
  forceOption,
  formatOption,
  jobsOption,
  type LimitFlags,
  limitsFromFlags,
  midGreyOption,
  outputOption,
  type PrecisionFlags,
  precisionOf,
  shardOption,
  withLimitOptions,
  withPrecision,
} from "./options.ts";
import { claimPlaces } from "./output.ts";
import {
  type PageFlags,
  pageCode,
  pageOptions,
  titleOption,
  withPageOptions,
} from "./pageFlags.ts";
import { picturesOf, withPictures } from "./pictures.ts";
import { requireOneReader, STDIN_NAME } from "./stdin.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";
import { userCache } from "./userCache.ts";

interface GradeFlags extends BriefFlags, LimitFlags, PageFlags, PrecisionFlags, GradeOutput {
  readonly filesFrom?: string;
  readonly midGrey?: number;
  readonly kit?: string;
  readonly histograms?: true;
  readonly forReport?: true;
  readonly voice: Voice | "none";
  readonly resume?: string;
  readonly byFolder?: string;
  readonly shard?: Shard;
  readonly cache: boolean;
  readonly jobs?: number;
}

const HELP: HelpTexts = {
  first: ["--place", "--region", "--brief", "--voice", "--format", "--output"],
  examples: `  tonefall grade shoot/                      where the tone of each frame fell
  tonefall grade hull.jpg --place tar --region spot
                                             whether it fell where tar belongs
  tonefall grade class/ --brief week1.yaml --voice student
                                             why frames missed, and what to do
  tonefall grade class/ --brief week1.yaml --report week1.html`,
  details: `More examples:
  tonefall grade shoot/ --place +1.5..+2.3   a range, in stops from middle grey
  tonefall grade shoot/ --kit kits/mine.yaml in stops of light, by a kit
  tonefall grade class/ --brief week1.yaml -f csv --bom -o week1.csv
                                             for a spreadsheet
  find . -name "*.jpg" | tonefall grade --files-from - --place snow
  tonefall grade samples/ --brief brief.yaml --fail-on-miss    for CI
  tonefall grade class/ --brief week1.yaml --voice student --by-folder class/
                                   grades in words, to hand back:
                                   a grades.txt in each student's folder
  tonefall grade shoot/ --sort worst         what to look at first
  tonefall grade term/ --resume term.journal -f csv -o term.csv
                                             run it again to resume
  tonefall grade term/ --shard 2/8 -f ndjson -o part-2.ndjson
                                             then: tonefall merge part-*.ndjson

${BRIEF_DETAILS}

${CSV_DETAILS}`,
  exitCodes: `0 done; 1 a frame missed (with --fail-on-miss);
2 wrong usage, or no picture named exists; 3 some frames could not be read;
${COMMON_CODES}.`,
};

/** `tonefall grade`. */
export function gradeCommand(streams: Streams, done: (code: number) => void): Command {
  const command = withPictures(
    new Command("grade").description(
      "Grade frames: where the subject's tone fell, against where it was meant to be placed, in stops. " +
        "Without a placement there is no verdict.",
    ),
  );
  withPrecision(withLimitOptions(withBriefOptions(command)))
    .optionsGroup(GROUPS.measuring)
    .addOption(
      new Option(
        "-b, --basis <basis>",
        "measure the rendering, the scene's light or the settings",
      ).choices(["rendered", "scene", "settings"]),
    )
    .addOption(midGreyOption())
    .addOption(kitOption())
    .optionsGroup(GROUPS.output)
    .addOption(
      new Option("--voice <whom>", "explain each grade")
        .choices([...VOICES, "none"])
        .default("none"),
    )
    .addOption(formatOption())
    .addOption(outputOption())
    .addOption(columnsOption())
    .addOption(bomOption())
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
      "also write the result of each folder of frames: grades.txt in a folder of the same name below this one",
    )
    .addOption(forceOption())
    .option("--histograms", "add the region's histograms to json and ndjson");
  return withHelp(
    withPageOptions(command)
      .addOption(titleOption())
      .option("--fail-on-miss", "exit with 1 when a frame is too light or too dark")
      .optionsGroup(GROUPS.longRuns)
      .option("--resume <journal>", "record finished frames in this file; run again to resume")
      .addOption(shardOption(streams.env))
      .option(
        "--for-report",
        "keep small pictures in json and ndjson, for the report that merge writes of all parts",
      )
      .option("--no-cache", "grade every frame again, even those in the cache")
      .addOption(jobsOption())
      .action(async (paths: string[], flags: GradeFlags) => {
        done(await grade(paths, flags, streams));
      }),
    HELP,
  );
}

async function grade(paths: string[], flags: GradeFlags, streams: Streams): Promise<number> {
  requireFitting(flags);
  requireOneReader({ ...flags, paths });
  const { briefsFor, said, tellUnmatched } = await briefsOf(flags, streams);
  const pictures = await picturesOf({ ...flags, paths }, streams);
  const { frames, sources, tellLeftAlone } = pictures;
  const kits = await kitsAtHand(flags.kit, frames);
  const briefs = briefsFor(frames);
  const files = frames.map(({ path }) => path);
  const [place = null, page = null] = claimPlaces(
    [
      { path: flags.output, kind: flags.format },
      { path: flags.report, kind: "html", option: "--report" },
      { path: flags.resume, kind: "journal", option: "--resume" },
    ],
    { reads: [...pictures.files, flags.brief, flags.kit, flags.filesFrom], force: flags.force },
  );
  const { from, to } = flags.shard
    ? shardBlock(await weightsOf(sources), flags.shard)
    : { from: 0, to: frames.length };
  const named = files.map((path) => path.replaceAll("\\", "/"));
  const names = named.slice(from, to);
  const report = await reportOf(page, names, flags, kits);
  const keeper = await keeperOf(files.length, flags, kits);
  const options = runOptions(flags, kits, report ?? keeper);
  const voice = options.voice ?? null;
  const context = { voice, given: givenOptions(flags, kits) };
  const folders = textsByFolder(names, flags, voice, streams);
  const journal = await journalOf(flags.resume, { brief: said, options }, streams);
  const cache = flags.cache ? userCache(streams) : null;
  const memory = [journal, cache].filter((one) => one !== null);

  const graded = gradeFrames(
    sources.slice(from, to),
    (_source, index) => briefs[from + index] as Brief,
    { ...options, memory },
  );
  const folder = sharedFolder(named);
  const run =
    flags.shard &&
    digestOf({
      version: buildVersion(),
      files: named.map((name) => name.slice(folder.length)),
      briefs,
      options: optionsDigest({ ...options, kits: kits.map(belowFolder(folder)) }),
    });
  const part = { frames: files.length, first: from + 1, last: to, folder };
  const failures = failureCount(pictures.unreadable);
  async function* rows(): AsyncGenerator<FrameResult> {
    let place = from;
    for await (const result of withPairs(graded, names)) {
      place++;
      failures.see(result);
      await report?.add(result);
      const asked = withoutUnaskedHistograms(result, flags);
      const row = keeper ? { ...asked, view: keeper.view(result) } : asked;
      yield flags.shard && run
        ? summedRow(row, { ...flags.shard, ...part, place, run, voice })
        : row;
    }
  }
  try {
    const output = { ...flags, ...context, place };
    const summary = await writeGrades(rows(), names.length, output, streams, folders?.add);
    await report?.write();
    const written = (await folders?.write(streams)) ?? 0;
    if (written > 0) {
      tell(streams, `wrote ${countText(written, "file")} below ${flags.byFolder}`);
    }
    tellUnmatched(streams);
    tellLeftAlone();
    return failures.code() ?? gradeExit(summary, flags);
  } finally {
    await report?.close();
    await journal?.close();
    await cache?.close();
  }
}

/** The page that `--report` asks for; null without it. */
async function reportOf(
  page: WritePlace | null,
  names: readonly string[],
  flags: GradeFlags,
  kits: readonly NamedKit[],
): Promise<PageReport | null> {
  if (!page) return null;
  const { pageReport } = await pageCode();
  return await pageReport(page, names, {
    ...pageOptions(flags),
    kits,
    brief: flags.brief ?? null,
    ...(flags.title === undefined ? {} : { title: flags.title }),
  });
}

/** What keeps the small pictures that `--for-report` asks for; null without it. */
async function keeperOf(
  frames: number,
  { forReport, pictures, brief }: GradeFlags,
  kits: readonly NamedKit[],
): Promise<ViewKeeper | null> {
  if (!forReport) return null;
  const { viewKeeper } = await pageCode();
  return await viewKeeper(pictures, frames, { kits, brief });
}

/** What `--by-folder` writes; null without it. */
function textsByFolder(
  names: readonly string[],
  flags: GradeFlags,
  voice: Voice | null,
  streams: Streams,
): FolderTexts | null {
  const { byFolder, format, force, brief, kit, output, report, resume } = flags;
  if (byFolder === undefined) return null;
  return folderTexts(names, byFolder, {
    format,
    reads: [brief, kit],
    writes: [output, report, resume],
    force,
    // Set for a file, not for this terminal; who receives it has no command to try next.
    writer: () => gradeWriter({ ...flags, voice, given: null, output: byFolder }, streams),
  });
}

/** The journal that `--resume` names, with a word of what it holds; null without it. */
async function journalOf(
  resume: string | undefined,
  said: JournaledRun,
  streams: Streams,
): Promise<Journal | null> {
  if (resume === undefined) return null;
  const { openJournal } = await import("../run/memory/journal.ts");
  const journal = await openJournal(resume, said);
  const { rows, damaged } = journal;
  if (rows > 0) tell(streams, `resuming after ${countText(rows, "row")} in ${resume}`);
  if (damaged > 0) {
    tell(streams, `${countText(damaged, "damaged line")} in ${resume}; graded again`);
  }
  return journal;
}

/** Refuses options that cannot go together. */
function requireFitting({ report, resume, forReport, format }: GradeFlags): void {
  const pixels = report === undefined ? forReport && "--for-report" : "--report";
  if (pixels && resume !== undefined) {
    throw new GraderError(
      "bad-option",
      `Expected ${pixels} or --resume but received both: a report needs every frame's pixels, and a journal holds none`,
    );
  }
  if (!forReport) return;
  if (report !== undefined) {
    throw new GraderError(
      "bad-option",
      "Expected --report or --for-report but received both: write this run's report, or keep what merge needs to write it",
    );
  }
  if (format !== "json" && format !== "ndjson") {
    throw new GraderError(
      "bad-option",
      `Expected --format json or ndjson with --for-report but received ${format}: no other format holds pictures`,
    );
  }
}

/** Kits by what machines agree on that reach the run's folder by different paths. */
function belowFolder(folder: string): (kit: NamedKit) => NamedKit {
  return ({ kit, file }) => ({
    kit,
    file: file.startsWith(folder) ? file.slice(folder.length) : file,
  });
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
  watch: Pick<PageReport, "look"> | null,
): RunOptions {
  return {
    name: STDIN_NAME,
    histograms: (flags.histograms ?? false) || watch !== null,
    ...(watch ? { look: watch.look } : {}),
    kits,
    precision: precisionOf(flags),
    ...(flags.voice === "none" ? {} : { voice: flags.voice }),
    ...limitsFromFlags(flags),
    ...(flags.midGrey === undefined ? {} : { middleGrey: flags.midGrey }),
    ...(flags.jobs === undefined ? {} : { jobs: flags.jobs }),
  };
}

/** A row without the histograms that only the report needs. */
function withoutUnaskedHistograms(
  result: FrameResult,
  { histograms: wanted }: GradeFlags,
): FrameResult {
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
