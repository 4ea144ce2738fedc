import { Command } from "commander";
import { markClass } from "../classes/markClass.ts";
import { type TermProgress, termProgress } from "../classes/progress/termProgress.ts";
import { jsonText } from "../output/text/json.ts";
import { progressTable } from "../output/text/progressTable.ts";
import {
  type ClassFlags,
  gradingOptions,
  openClass,
  showProgress,
  withClassOptions,
  withClassRuns,
} from "./classFlags.ts";
import { EXIT } from "./exitCodes.ts";
import { COMMON_CODES, type HelpTexts, withHelp } from "./help.ts";
import { lineWidth, paintFor, writeResult } from "./output.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";
import { userCache } from "./userCache.ts";

const PROGRESS_FORMATS = ["table", "json"] as const;

type ProgressFlags = ClassFlags<(typeof PROGRESS_FORMATS)[number]>;

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
    .argument("<file>", "the class file, or its folder");
  withClassRuns(withClassOptions(command, PROGRESS_FORMATS)).action(
    async (path: string, flags: ProgressFlags) => {
      done(await progress(path, flags, streams));
    },
  );
  return withHelp(command, HELP);
}

async function progress(path: string, flags: ProgressFlags, streams: Streams): Promise<number> {
  const { ready, names, outputs } = await openClass(path, flags);
  const cache = flags.cache ? userCache(streams) : null;
  try {
    const marking = await markClass(ready, {
      ...(await gradingOptions(ready, flags)),
      memory: cache ? [cache] : [],
      pass: showProgress(streams),
    });
    const term = termProgress(marking.marked);
    await writeResult(text(term, flags, names, streams), outputs.place, streams);
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

function text(
  term: TermProgress,
  { format, output }: ProgressFlags,
  names: ReadonlyMap<string, string> | null,
  streams: Streams,
): string {
  if (format === "json") return jsonText(term);
  const style = { width: lineWidth(streams, output), heading: paintFor(streams, output).strong };
  return progressTable(term, style, (student) => names?.get(student) ?? student);
}
