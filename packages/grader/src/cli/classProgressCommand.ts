import { Command, Option } from "commander";
import { classFileAt } from "../classes/classFileAt.ts";
import { markClass } from "../classes/markClass.ts";
import { termProgress } from "../classes/progress/termProgress.ts";
import { readClass } from "../classes/readClass.ts";
import { readNames } from "../classes/readNames.ts";
import { overridesPath } from "../classes/readOverrides.ts";
import { GraderError } from "../model/errors.ts";
import { jsonText } from "../output/text/json.ts";
import { progressTable } from "../output/text/progressTable.ts";
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
  withLimitOptions,
  withPrecision,
} from "./options.ts";
import { lineWidth, paintFor, writeResult } from "./output.ts";
import { withProgress } from "./progress.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

interface ProgressFlags extends ClassOutputFlags, LimitFlags, PrecisionFlags {
  readonly format: "table" | "json";
  readonly output?: string;
  readonly force?: true;
  readonly names?: true;
  readonly kit?: string;
  readonly cache: boolean;
  readonly jobs?: number;
}

const HELP: HelpTexts = {
  first: ["--names", "--format", "--output", "--report"],
  examples: `  tonefall class progress term/class.yaml
  tonefall class progress term/ --report term.html     a page of the whole term
  tonefall class progress term/ -f json -o term.json`,
  details: `Progress looks at every exercise for which anybody handed something in. A trend
takes six frames of four exercises; a cause recurs when it led three of the last
four. Nobody is ranked. Frames that were marked before come from the cache.`,
  exitCodes: `0 done; 2 wrong usage, or the class file is wrong;
3 done, but some frames could not be read;
${COMMON_CODES}.`,
};

/** `tonefall class progress`. */
export function classProgressCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("progress")
    .summary("show the term so far: trends, causes that recur, what to teach next")
    .description(
      "Show how each student and the class did over the exercises so far: whether misses get smaller, which cause comes back, what improved, and what the next lesson should cover.",
    )
    .argument("<file>", "the class file, or its folder")
    .optionsGroup(GROUPS.output)
    .option("--names", "show names in place of codes, in the table and the report alone")
    .addOption(
      new Option("-f, --format <format>", "format of the result")
        .choices(["table", "json"])
        .default("table"),
    )
    .addOption(outputOption())
    .addOption(forceOption());
  withPrecision(withLimitOptions(withClassOutputs(command)))
    .addOption(kitOption())
    .optionsGroup(GROUPS.longRuns)
    .option("--no-cache", "grade every frame again, even those in the cache")
    .addOption(jobsOption())
    .action(async (path: string, flags: ProgressFlags) => {
      done(await progress(path, flags, streams));
    });
  return withHelp(command, HELP);
}

async function progress(path: string, flags: ProgressFlags, streams: Streams): Promise<number> {
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
    [{ path: flags.output, kind: flags.format }],
    { reads: [file, overridesPath(file), ready.namesFile ?? undefined], force: flags.force },
    names,
  );
  const cache = flags.cache ? userCache(streams) : null;
  try {
    const marking = await markClass(ready, {
      kits: await kitsAtHand(flags.kit, [{ path: `${ready.folder}/x`, root: ready.folder }]),
      precision: precisionOf(flags),
      ...limitsFromFlags(flags),
      ...(flags.jobs === undefined ? {} : { jobs: flags.jobs }),
      memory: cache ? [cache] : [],
      pass: (rows, total) => withProgress(rows, total, streams),
    });
    const term = termProgress(marking.marked);
    const text =
      flags.format === "json"
        ? jsonText(term)
        : progressTable(
            term,
            {
              width: lineWidth(streams, flags.output),
              heading: paintFor(streams, flags.output).strong,
            },
            (student) => names?.get(student) ?? student,
          );
    await writeResult(text, outputs.place, streams);
    await outputs.write(marking, streams);
    const unreadable = marking.marked.exercises.reduce(
      (sum, { summary }) => sum + summary.unreadable,
      0,
    );
    if (unreadable > 0) tell(streams, "some frames could not be read; class mark says why");
    return unreadable > 0 ? EXIT.unreadable : EXIT.ok;
  } finally {
    await cache?.close();
  }
}
