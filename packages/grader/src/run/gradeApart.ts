import { availableParallelism } from "node:os";
import { resolve } from "node:path";
import type { ReadyBrief } from "../brief/brief.ts";
import { GraderError } from "../model/errors.ts";
import type { FrameResult } from "../model/result.ts";
import { DEFAULT_LIMITS, givenLimits } from "../picture/decodeLimits.ts";
import { BUNDLE, PACKAGE_HOME, RUNS_FROM } from "../picture/packageHome.ts";
import { processWorker } from "../picture/pool/processWorker.ts";
import { WorkerDied, WorkerPool } from "../picture/pool/workerPool.ts";
import { tookTooLong } from "../picture/tooMuch.ts";
import { asFailure } from "./asFailure.ts";
import { emptyRow } from "./emptyRow.ts";
import type { GradeOptions } from "./gradeOptions.ts";
import { optionsOfRow } from "./memory/claimDigest.ts";
import { sourceName } from "./readFile.ts";

/** A request to a grading process. */
export interface ApartRequest {
  /** Absolute: this process may have gone to another folder since the other was started. */
  readonly path: string;
  readonly brief: ReadyBrief;
  readonly options: GradeOptions;
}

/** A process keeps to the time limit itself; one that is this many seconds over it has hung. */
const GRACE_SECONDS = 10;

/** Processes run what their parent runs: sources from sources; the build from its bundle, whose few files load sooner. */
const GRADING_PROCESS = new URL(
  RUNS_FROM === "sources" ? "src/run/gradingProcess.ts" : `${BUNDLE}/gradingProcess.js`,
  PACKAGE_HOME,
);

/** A process keeps memory for its largest picture, so it ends soon after a run, and is replaced now and then within one. */
const pool = new WorkerPool(() => processWorker(GRADING_PROCESS), {
  workers: availableParallelism(),
  tasksPerWorker: 2000,
  idleSeconds: 3,
});

/**
 * Grades one frame by itself, in another process.
 *
 * Nothing about the file makes it throw, or end this process: what ends the other becomes a result with a `failure`.
 *
 * @param path - of the picture file
 * @param brief - its texts have been read
 */
export async function gradeApart(
  path: string,
  brief: ReadyBrief,
  options: GradeOptions,
): Promise<FrameResult> {
  const { timeLimitSeconds } = { ...DEFAULT_LIMITS, ...givenLimits(options) };
  try {
    const request: ApartRequest = { path: resolve(path), brief, options: optionsOfRow(options) };
    const row = await pool.run<FrameResult>(request, {
      timeLimitSeconds: timeLimitSeconds + GRACE_SECONDS,
    });
    return { ...row, file: sourceName(path, undefined) };
  } catch (cause) {
    if (!(cause instanceof WorkerDied)) throw cause;
    if (cause.stillborn) return (await import("./gradeAnew.ts")).gradeAnew(path, brief, options);
    const failure = cause.overtime
      ? tookTooLong(timeLimitSeconds, cause)
      : new GraderError(
          "decode-failed",
          `The picture could not be decoded: ${cause.message}; it may be damaged, or need more memory than there is. Export it again`,
          { cause },
        );
    return { ...emptyRow(unread(path), brief), failure: asFailure(failure) };
  }
}

/** A file of which nothing is known: no other process opens what has just ended one. */
function unread(path: string) {
  const file = sourceName(path, undefined);
  return { file, format: null, exposure: null, givenExposure: null, notes: [], failure: null };
}
