import { performance } from "node:perf_hooks";
import { median } from "@tonefall/tone-core";
import { RUNS_FROM } from "../picture/packageHome.ts";
import { SURELY_LONG_BYTES } from "./longBytes.ts";

/**
 * What a grading process saves of a frame's time at least where it keeps the memory of one picture for the next: a quarter of
 * a decode goes into fresh memory. Only a guess to begin with; what it saves here is then measured.
 */
const LIKELY_GAIN = 0.25;

/** A grading process is ready in so many times what Node itself took to start; from sources, a loader comes first. */
const STARTS = RUNS_FROM === "sources" ? 60 : 4;

/** Processes that are slower than this, beside grading here, are given up. */
const AS_GOOD = 1.1;

/** A run, and what starting takes on this machine. */
export interface RunToPlace {
  /** How many frames it has. */
  readonly frames: number;
  /** Bytes of their files. */
  readonly bytes: number;
  /** How many are in work at once. */
  readonly jobs: number;
  /** Milliseconds until a grading process is ready. */
  readonly startMilliseconds?: number;
}

/**
 * Where the next frame of a run is graded: in this process, or in one beside it.
 *
 * Runs that are surely long go to processes at once. In others the first frames are graded here, since most runs are short;
 * the very first load code, those after them are timed. When what is left will gain more from processes than their start
 * takes, frames go to them; and come back where they turn out no quicker. Times are of frames while `jobs` are in work, on
 * this machine, whatever else it does. Frames that a memory holds are not graded at all, and as large a share of the rest is
 * expected not to be.
 */
export class GradingPlace {
  readonly #run: Required<RunToPlace>;
  readonly #here: number[] = [];
  readonly #apart: number[] = [];
  #graded = 0;
  #isApart = false;
  #isSettled = false;

  /** @param run - of `startMilliseconds`, a few times what Node took to start in this process by default */
  constructor(run: RunToPlace) {
    this.#run = { startMilliseconds: STARTS * performance.nodeTiming.bootstrapComplete, ...run };
  }

  /**
   * Whether a frame that no memory holds is graded in a process beside this one; asked once for each.
   *
   * @param index - its place in the run
   */
  isApart(index: number): boolean {
    const { frames, bytes } = this.#run;
    const share = Math.min(1, ++this.#graded / (index + 1));
    if (bytes * share >= SURELY_LONG_BYTES) return true;
    if (!this.#isSettled) this.#choose((frames - index) * share);
    return this.#isApart;
  }

  /** Takes note of how long a frame took, milliseconds. */
  took(milliseconds: number, apart: boolean): void {
    if (!this.#isSettled) (apart ? this.#apart : this.#here).push(milliseconds);
  }

  #choose(left: number): void {
    const { jobs, startMilliseconds } = this.#run;
    const here = this.#here.slice(jobs);
    // The first in each process have waited for it to start.
    const apart = this.#apart.slice(jobs);
    if (!this.#isApart) {
      if (here.length === 0) return;
      this.#isApart = LIKELY_GAIN * (median(here) / jobs) * left > startMilliseconds;
    } else if (apart.length >= jobs) {
      this.#isApart = median(apart) < AS_GOOD * median(here);
      this.#isSettled = true;
    }
  }
}
