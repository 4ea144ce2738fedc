import { dirname } from "node:path";
import { Command, Option } from "commander";
import type { CheckResult, Shard } from "../model/checkResult.ts";
import { GraderError } from "../model/errors.ts";
import { findFrames } from "../run/findFrames.ts";
import { checkSets } from "../sets/checkSet.ts";
import { setFilesAt } from "../sets/setFiles.ts";
import { updatePins } from "../sets/updatePins.ts";
import { type CheckOutput, checkFormatOption, writeCheck } from "./checkFormats.ts";
import { tellLeftAlone } from "./foundFrames.ts";
import { COMMON_CODES, GROUPS, type HelpTexts, withHelp } from "./help.ts";
import {
  forceOption,
  jobsOption,
  type LimitFlags,
  limitsFromFlags,
  outputOption,
  shardOption,
  withLimitOptions,
} from "./options.ts";
import { claimPlaces } from "./output.ts";
import { type PageFlags, pageCode, pageOptions, withPageOptions } from "./pageFlags.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";
import { userCache } from "./userCache.ts";

interface CheckFlags extends CheckOutput, LimitFlags, PageFlags {
  readonly updatePins?: true;
  readonly shard?: Shard;
  readonly jobs?: number;
  readonly cache?: true;
  readonly forReport?: true;
}

const HELP: HelpTexts = {
  first: ["--format", "--output", "--report", "--update-pins"],
  examples: `  tonefall check samples/harbour/set.yaml        are all claims kept?
  tonefall check set.yaml --update-pins          pin the files as they are now
  tonefall check set.yaml -f junit -o report.xml
  tonefall check set.yaml -f github              notes at the claims' lines
  tonefall check set.yaml --report set.html      a page to look at
  tonefall check set.yaml --shard 2/3 -f json -o part-2.json
                                        then: tonefall merge part-*.json
  tonefall check set.yaml --shard 2/3 --for-report -f json -o part-2.json
                        then: tonefall merge part-*.json --report set.html`,
  details: `Check ignores folders named kits. A claim on the scene basis goes through a
measured kit only where the set names the kit's file, as in
kits: { room: { model: One, measured: kits/room.yaml } }.`,
  exitCodes: `0 every claim is kept; 1 one is not kept or cannot be decided;
2 wrong usage or an invalid set file; 3 some frames could not be read;
${COMMON_CODES}.`,
};

/** `tonefall check`. */
export function checkCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("check")
    .description(
      "Check sample sets: whether the pictures keep each claim of a set file, with what was expected and measured. " +
        "Claims that cannot be decided and files that changed since they were pinned are reported too.",
    )
    .argument("<set...>", "set files (YAML or JSON), or folders that hold them")
    .optionsGroup(GROUPS.output)
    .option(
      "--update-pins",
      "record in the set files what the files are now, and report what changed",
    )
    .addOption(shardOption(streams.env))
    .addOption(
      new Option(
        "--for-report",
        "keep small pictures in json, for the report that merge writes of all parts",
      ).helpGroup(GROUPS.longRuns),
    )
    .addOption(
      new Option("--cache", "take measurements of unchanged files from the cache").helpGroup(
        GROUPS.longRuns,
      ),
    )
    .addOption(checkFormatOption())
    .addOption(outputOption())
    .addOption(forceOption());
  withPageOptions(withLimitOptions(command))
    .addOption(jobsOption())
    .action(async (paths: string[], flags: CheckFlags) => {
      done(await check(paths, flags, streams));
    });
  return withHelp(command, HELP);
}

async function check(named: string[], flags: CheckFlags, streams: Streams): Promise<number> {
  requireFitting(flags);
  const paths = await setFilesAt(named);
  const { shard, jobs, updatePins: update } = flags;
  const [place = null, page = null] = claimPlaces(
    [
      { path: flags.output, kind: flags.format },
      { path: flags.report, kind: "html", option: "--report" },
    ],
    { reads: paths, force: flags.force },
  );
  const cache = flags.cache ? userCache(streams) : null;
  const options = {
    ...(shard ? { shard } : {}),
    ...(jobs === undefined ? {} : { jobs }),
    ...limitsFromFlags(flags),
    memory: cache ? [cache] : [],
  };
  if (update) {
    for (const path of paths) {
      for (const line of await updatePins(path, options)) tell(streams, line);
    }
  }
  const report = page && (await (await pageCode()).checkReport(page, pageOptions(flags)));
  const keeper = flags.forReport ? (await pageCode()).checkKeeper(pageOptions(flags)) : null;
  try {
    const result = await checkSets(paths, { ...options, watch: report ?? keeper });
    await report?.write(result);
    const code = await writeCheck(keeper?.keep(result) ?? result, flags, place, streams);
    if (!shard) tellUnclaimed(result, streams);
    const folders = [...new Set(paths.map((path) => dirname(path)))];
    tellLeftAlone((await findFrames(folders)).leftAlone, streams);
    return code;
  } finally {
    await report?.close();
    await cache?.close();
  }
}

/** Refuses options that cannot go together. */
function requireFitting({ report, forReport, format }: CheckFlags): void {
  if (!forReport) return;
  if (report !== undefined) {
    throw new GraderError(
      "bad-option",
      "Expected --report or --for-report but received both: write this run's report, or keep what merge needs to write it",
    );
  }
  if (format !== "json") {
    throw new GraderError(
      "bad-option",
      `Expected --format json with --for-report but received ${format}: no other format holds pictures`,
    );
  }
}

/** Says of which sets nothing was checked: a set without claims passes, whatever its pictures show. */
function tellUnclaimed({ sets }: CheckResult, streams: Streams): void {
  for (const { file } of sets.filter(({ rows }) => rows.length === 0)) {
    tell(
      streams,
      `${file} makes no claim, so nothing was checked; write claims for its frames, or let tonefall new-set propose some`,
    );
  }
}
