import { Command, InvalidArgumentError, Option } from "commander";
import { type Marking, markClass } from "../classes/markClass.ts";
import { recordPath, writeMarkRecord } from "../classes/markRecord.ts";
import type { Shard } from "../model/checkResult.ts";
import type { MarkedClass } from "../model/markedClass.ts";
import { countText } from "../model/words.ts";
import { classNdjson } from "../output/text/classJson.ts";
import { classTable } from "../output/text/classTable.ts";
import { jsonText } from "../output/text/json.ts";
import { openJournal } from "../run/memory/journal.ts";
import {
  type ClassFlags,
  gradingOptions,
  openClass,
  showProgress,
  withClassOptions,
  withClassRuns,
} from "./classFlags.ts";
import { EXIT } from "./exitCodes.ts";
import { COMMON_CODES, GROUPS, type HelpTexts, withHelp } from "./help.ts";
import { shardOption } from "./options.ts";
import { lineWidth, paintFor, writeResult } from "./output.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";
import { tellStrays } from "./tellStrays.ts";
import { userCache } from "./userCache.ts";

/** Formats of a marked class. */
const MARK_FORMATS = ["table", "json", "ndjson"] as const;

interface MarkFlags extends ClassFlags<(typeof MARK_FORMATS)[number]> {
  readonly exercise?: readonly string[];
  readonly acceptChanges?: true;
  readonly record: boolean;
  readonly resume?: string;
  readonly shard?: Shard;
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
    );
  withClassOptions(command, MARK_FORMATS)
    .optionsGroup(GROUPS.output)
    .option("--accept-changes", "accept hand-ins that changed since they were marked")
    .option("--no-record", "keep no record of what was marked");
  withClassRuns(command)
    .option("--resume <journal>", "record finished frames in this file; run again to resume")
    // A part prints no sheet: what it grades goes on through the cache.
    .addOption(
      shardOption(streams.env, "run without --shard when all parts are graded").conflicts([
        "output",
        "report",
        "sheets",
        "gradebook",
        "cache",
      ]),
    )
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
  const { file, ready, names, outputs } = await openClass(path, flags, [
    { path: flags.resume, kind: "journal", option: "--resume" },
  ]);
  const { exercise, acceptChanges = false } = flags;
  const options = {
    ...(exercise === undefined ? {} : { exercises: exercise }),
    acceptChanges,
    ...(await gradingOptions(ready, flags)),
  };
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
      pass: showProgress(streams),
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
