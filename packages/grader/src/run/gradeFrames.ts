import { availableParallelism } from "node:os";
import { pMapIterable } from "p-map";
import { type Brief, type ReadyBrief, readyBrief } from "../brief/brief.ts";
import { requireJobs } from "../model/requireJobs.ts";
import { requireSeveral } from "../model/requireSeveral.ts";
import type { FrameResult, ReadResult } from "../model/result.ts";
import type { Source } from "../picture/source/openSource.ts";
import { explained } from "./explain.ts";
import { gradeHereOrApart, recallOrGrade } from "./gradeFrame.ts";
import type { GradeOptions } from "./gradeOptions.ts";
import { GradingPlace } from "./gradingPlace.ts";
import { bytesForProcesses } from "./lastsLong.ts";
import { type ReadOptions, readFrame } from "./readFile.ts";
import { untilAborted } from "./untilAborted.ts";

/** How a run grades its frames. */
export interface RunOptions extends GradeOptions {
  /**
   * Frames in work at once, a whole number from 1; memory grows with it.
   * @default one for each processor
   */
  readonly jobs?: number;
}

/** A brief for all frames, or one for each. */
export type BriefFor = Brief | ((source: Source, index: number) => Brief);

/**
 * Grades frames side by side, and gives their results in the order of the sources.
 *
 * At most `jobs` frames are in work or wait to be taken, so a run of any length needs the memory of a few frames.
 *
 * @param sources - paths, file URLs or bytes
 * @param brief - for all frames, or a function that gives each its own
 * @throws {@link GraderError} when a brief is wrong, before its frame is opened; `bad-option` for one path in place of
 *   several, or jobs that are no whole number from 1; the reason of `options.signal` when it aborts.
 *   To stop without an error, `break` out of the loop
 *
 * @example
 * ```ts
 * for await (const frame of gradeFrames(["a.jpg", "b.jpg"], { place: -1 })) process.stdout.write(`${frame.file}\n`);
 * ```
 */
export async function* gradeFrames(
  sources: Iterable<Source>,
  brief: BriefFor = {},
  options: RunOptions = {},
): AsyncGenerator<FrameResult> {
  requireSeveral(sources, "gradeFrames");
  const same = typeof brief === "function" ? null : readyBrief(brief);
  const briefOf = (source: Source, index: number): ReadyBrief =>
    same ?? readyBrief((brief as Exclude<BriefFor, Brief>)(source, index));
  const place = options.processes ?? (await chosenPlace(sources, options.jobs));
  const rows = inOrder(sources, options, (source, index) => {
    const frameBrief = briefOf(source, index);
    return recallOrGrade(source, frameBrief, options, () =>
      gradedAt(place, index, (processes) =>
        gradeHereOrApart(source, frameBrief, { ...options, processes }),
      ),
    );
  });
  yield* explained(rows, options.voice);
}

/** Where the frames of a run are graded, where nobody says it. */
async function chosenPlace(
  sources: Iterable<Source>,
  jobs = availableParallelism(),
): Promise<false | GradingPlace> {
  const bytes = await bytesForProcesses(sources);
  return (
    bytes > 0 && new GradingPlace({ frames: (sources as readonly Source[]).length, bytes, jobs })
  );
}

async function gradedAt(
  place: boolean | GradingPlace,
  index: number,
  grade: (processes: boolean) => Promise<FrameResult>,
): Promise<FrameResult> {
  if (typeof place === "boolean") return grade(place);
  const processes = place.isApart(index);
  const start = performance.now();
  const row = await grade(processes);
  place.took(performance.now() - start, processes);
  return row;
}

/** Records in work at once for each processor: reading one mostly waits for the disk. */
const RECORDS_PER_PROCESSOR = 4;

/**
 * Reads exposure records side by side, and gives them in the order of the sources.
 *
 * @param sources - paths, file URLs or bytes
 * @param options - `jobs`, four for each processor by default; `name`, the name of sources that are bytes; `secondReader` as
 *   `readFrame` has it; `signal`, which ends the run with its reason
 * @throws {@link GraderError} `bad-option` for one path in place of several, or jobs that are no whole number from 1
 */
export async function* readFrames(
  sources: Iterable<Source>,
  options: Pick<RunOptions, "jobs" | "name" | "signal"> & ReadOptions = {},
): AsyncGenerator<ReadResult> {
  requireSeveral(sources, "readFrames");
  const { jobs = RECORDS_PER_PROCESSOR * availableParallelism(), name, signal, ...rest } = options;
  yield* inOrder(sources, { jobs, signal }, (source) => readFrame(source, name, rest));
}

async function* inOrder<T>(
  sources: Iterable<Source>,
  { jobs = availableParallelism(), signal }: { jobs?: number; signal?: AbortSignal | undefined },
  work: (source: Source, index: number) => Promise<T>,
): AsyncGenerator<T> {
  requireJobs(jobs);
  let index = 0;
  const abortable = (source: Source): Promise<T> =>
    untilAborted(signal, () => work(source, index++));
  const results = pMapIterable(sources, abortable, { concurrency: jobs, backpressure: jobs });
  yield* results as AsyncIterable<T>;
}
