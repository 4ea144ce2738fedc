import { Command, InvalidArgumentError, Option } from "commander";
import type { ReadyClass } from "../classes/classFile.ts";
import { classFileAt } from "../classes/classFileAt.ts";
import { type Marking, type MarkOptions, markClass } from "../classes/markClass.ts";
import { recordPath, writeMarkRecord } from "../classes/markRecord.ts";
import { readClass } from "../classes/readClass.ts";
import { readNames } from "../classes/readNames.ts";
import { overridesPath } from "../classes/readOverrides.ts";
import type { Shard } from "../model/checkResult.ts";
import { GraderError } from "../model/errors.ts";
import type { MarkedClass } from "../model/markedClass.ts";
import { countText } from "../model/words.ts";
import { classNdjson } from "../output/text/classJson.ts";
import { classTable } from "../output/text/classTable.ts";
import { jsonText } from "../output/text/json.ts";
import { openJournal } from "../run/memory/journal.ts";
import { userCache } from "./cacheFolder.ts";
import { type ClassOutputFlags, classOutputs, withClassOutputs } from "./classOutputs.ts";
import { EXIT } from "./exitCodes.ts";
import { COMMON_CODES, GROUPS, type HelpTexts, withHelp } from "./help.ts";
import { kitOption, kitsAtHand } from "./kitOption.ts";
import {
  forceOption,
  jobsOption,
  type LimitFlags,
  limitsFromFlags,
  outputOption,
  type PrecisionFlags,
  precisionOf,
  shardOption,
  withLimitOptions,
  withPrecision,
} from "./options.ts";
import { lineWidth, paintFor, writeResult } from "./output.ts";
import { withProgress } from "./progress.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";
import { tellStrays } from "./tellStrays.ts";

/** Formats of a marked class. */
const MARK_FORMATS = ["table", "json", "ndjson"] as const;

interface MarkFlags extends ClassOutputFlags, LimitFlags, PrecisionFlags {
  readonly exercise?: readonly string[];
  readonly format: (typeof MARK_FORMATS)[number];
  readonly output?: string;
  readonly force?: true;
  readonly names?: true;
  readonly acceptChanges?: true;
  readonly record: boolean;
  readonly kit?: string;
  readonly resume?: string;
  readonly shard?: Shard;
  readonly cache: boolean;
  readonly jobs?: number;
}

const HELP: HelpTexts = {
  first: [
    "--exercise",
    "--names",
    "--format",
    "--output",
    "--report",
    "--sheets",
    "--gradebook",
    "--accept-changes",
  ],
  examples: `  tonefall class mark term/class.yaml                    every exercise so far
  tonefall class mark term/class.yaml --exercise week2   one of them
  tonefall class mark term/ -f json -o week2.json`,
  details: `Levels are suggestions. Write your own into class.levels.yaml beside class.yaml:
  week1:
    s03:
      tar: { level: placed, why: "the tar was wet" }

What was marked is kept in class.marked.ndjson beside class.yaml, so that a
hand-in that changes later is noticed. Nothing is written into the folders of
hand-ins.

--shard grades a part of the frames into the cache: run all parts, on one
machine or several that share TONEFALL_CACHE, and then once without --shard.`,
  exitCodes: `0 marked; 2 wrong usage, or the class file is wrong;
3 marked, but some frames could not be read;
${COMMON_CODES}.`,
};

/** `tonefall class mark`. */
export function classMarkCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("mark")
    .summary("mark the hand-ins of an exercise, or of all so far")
    .description(
      "Mark what a class handed in: verdict, stops, cause and a suggested level for each student and task; what is missing, late or unreadable; and what needs your eyes first.",
    )
    .argument("<file>", "the class file, or its folder")
    .addOption(
      new Option("-e, --exercise <ids>", "exercises to mark, such as week1,week2 (default: all)")
        .argParser(idList)
        .helpGroup(GROUPS.subject),
    )
    .optionsGroup(GROUPS.output)
    .option("--names", "show names, in the table and the report alone")
    .addOption(
      new Option("-f, --format <format>", "format of the result")
        .choices(MARK_FORMATS)
        .default("table"),
    )
    .addOption(outputOption())
    .addOption(forceOption())
    .option("--accept-changes", "accept hand-ins that changed since they were marked")
    .option("--no-record", "keep no record of what was marked");
  withPrecision(withLimitOptions(withClassOutputs(command)))
    .addOption(kitOption())
    .optionsGroup(GROUPS.longRuns)
    .option("--resume <journal>", "record finished frames in this file; run again to resume")
    // A part prints no sheet: what it grades goes on through the cache.
    .addOption(
      shardOption(streams.env).conflicts(["output", "report", "sheets", "gradebook", "cache"]),
    )
    .option("--no-cache", "grade every frame again, even those in the cache")
    .addOption(jobsOption())
    .action(async (path: string, flags: MarkFlags) => {
      done(await mark(path, flags, streams));
    });
  return withHelp(command, HELP);
}

function idList(text: string): readonly string[] {
  const ids = text.split(",").map((id) => id.trim());
  if (ids.every((id) => id !== "")) return ids;
  throw new InvalidArgumentError("Expected IDs of exercises, such as week1,week2.");
}

async function mark(path: string, flags: MarkFlags, streams: Streams): Promise<number> {
  if (flags.names && flags.format !== "table") {
    throw new GraderError(
      "bad-option",
      `Expected --names with the table but received it with ${flags.format}: what can be shared holds codes alone`,
    );
  }
  const file = await classFileAt(path);
  const ready = await readClass(file);
  const names = flags.names ? await readNames(ready) : null;
  const outputs = await classOutputs(
    ready,
    flags,
    [
      { path: flags.output, kind: flags.format },
      { path: flags.resume, kind: "journal", option: "--resume" },
    ],
    { reads: [file, overridesPath(file), ready.namesFile ?? undefined], force: flags.force },
    names,
  );
  const options = await markOptions(ready, flags);
  const journal =
    flags.resume === undefined
      ? null
      : await openJournal(flags.resume, { brief: ready.exercises, options });
  const cache = flags.cache ? userCache(streams, { keepHashes: true }) : null;
  const memory = [journal, cache].filter((one) => one !== null);
  try {
    const marking = await markClass(ready, {
      ...options,
      memory,
      ...(flags.shard === undefined ? {} : { shard: flags.shard }),
      pass: (rows, total) => withProgress(rows, total, streams),
    });
    if (flags.shard) {
      tell(
        streams,
        `part ${flags.shard.index} of ${flags.shard.of} is graded; run without --shard when all parts are`,
      );
      return EXIT.ok;
    }
    await writeResult(text(marking.marked, flags, names, streams), outputs.place, streams);
    await outputs.write(marking, streams);
    tellStrays(marking.found.strays, streams);
    if (marking.notCompared.length > 0) {
      const ids = marking.notCompared.join(", ");
      tell(streams, `${ids} was not marked yet, so no copies from there were looked for`);
    }
    if (marking.damaged > 0) {
      const lines = countText(marking.damaged, "damaged line");
      tell(streams, `${lines} in ${recordPath(file)}; what they held counts as never marked`);
    }
    if (flags.record) await keepRecord(file, marking, streams);
    return exitOf(marking.marked);
  } finally {
    await journal?.close();
    await cache?.close();
  }
}

async function markOptions(ready: ReadyClass, flags: MarkFlags): Promise<MarkOptions> {
  const { exercise, acceptChanges, kit, jobs } = flags;
  const beside = [{ path: `${ready.folder}/x`, root: ready.folder }];
  return {
    ...(exercise === undefined ? {} : { exercises: exercise }),
    acceptChanges: acceptChanges ?? false,
    kits: await kitsAtHand(kit, beside),
    precision: precisionOf(flags),
    ...limitsFromFlags(flags),
    ...(jobs === undefined ? {} : { jobs }),
  };
}

function text(
  marked: MarkedClass,
  { format, output }: MarkFlags,
  names: ReadonlyMap<string, string> | null,
  streams: Streams,
): string {
  switch (format) {
    case "json":
      return jsonText(marked);
    case "ndjson":
      return classNdjson(marked);
    case "table":
      return classTable(marked, {
        width: lineWidth(streams, output),
        paint: paintFor(streams, output),
        names,
      });
  }
}

/** Keeps what was marked; a record that cannot be written takes nothing from the results. */
async function keepRecord(file: string, { record }: Marking, streams: Streams): Promise<void> {
  const path = recordPath(file);
  try {
    await writeMarkRecord(path, record);
  } catch (error) {
    const reason = (error as NodeJS.ErrnoException).code ?? (error as Error).message;
    tell(streams, `the record of marking ${path} cannot be written (${reason})`);
  }
}

function exitOf({ exercises }: MarkedClass): number {
  const failed = exercises.some(({ summary }) => summary.unreadable > 0);
  return failed ? EXIT.unreadable : EXIT.ok;
}
