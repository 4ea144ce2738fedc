import { execFile } from "node:child_process";
import { availableParallelism } from "node:os";
import { setTimeout as delay } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { gradeFrames } from "@tonefall/grader";
import { median } from "@tonefall/tone-core";
import { KEPT_MEMORY } from "../dist/picture/pool/processWorker.js";
import { bareDecodeOf } from "./bareDecode.mjs";
import { children, childrenTime } from "./children.mjs";

const run = promisify(execFile);

/**
 * Milliseconds.
 *
 * @typedef {{ wall: number, cpu: number }} Time
 * @typedef {Time & { wallRatio: number, cpuRatio: number }} RatedTime
 *
 * What is timed.
 *
 * @typedef {() => Promise<void>} Work
 */

/** Frames in work at once, on both sides of a comparison. */
export const JOBS = availableParallelism();

/**
 * {@link bareDecodeOf}, as many at once as grading has in work.
 *
 * @param {readonly string[]} paths
 * @param {number} [jobs]
 */
export async function bareDecode(paths, jobs = JOBS) {
  await bareDecodeOf(paths, jobs);
}

/**
 * {@link bareDecodeOf} by as many processes, which keep the memory of a picture for the next as grading processes do.
 *
 * @param {readonly string[]} paths
 */
export async function bareDecodeKeepingMemory(paths) {
  const lanes = Array.from({ length: JOBS }, async (_, lane) => {
    const own = paths.filter((_path, i) => i % JOBS === lane);
    const script = `
      import { bareDecodeOf } from ${JSON.stringify(new URL("bareDecode.mjs", import.meta.url).href)};
      await bareDecodeOf(JSON.parse(process.env.PATHS), 1);`;
    await run(process.execPath, ["--input-type=module", "--eval", script], {
      cwd: fileURLToPath(new URL("..", import.meta.url)),
      env: { ...process.env, ...KEPT_MEMORY, PATHS: JSON.stringify(own) },
    });
  });
  await Promise.all(lanes);
}

/**
 * Grades every file; one that fails ends the benchmark.
 *
 * @param {Parameters<typeof gradeFrames>[0]} paths
 * @param {Parameters<typeof gradeFrames>[1]} brief
 * @param {Parameters<typeof gradeFrames>[2]} options
 */
export async function grade(paths, brief, options) {
  for await (const { failure } of gradeFrames(paths, brief, options)) {
    if (failure) throw new Error(failure.message);
  }
}

/**
 * Milliseconds of wall and of processor time that some work takes, here and in the processes that it works with, ended or not.
 *
 * @param {Work} work
 * @returns {Promise<Time>}
 */
export async function timed(work) {
  const theirs = childrenTime();
  const before = process.cpuUsage();
  const start = performance.now();
  await work();
  const wall = performance.now() - start;
  const { user, system } = process.cpuUsage(before);
  return { wall, cpu: (user + system) / 1000 + childrenTime() - theirs };
}

/** Waits until the processes that worked for the work before have ended. */
async function untilAllEnded() {
  while (children().length > 0) await delay(100);
}

/**
 * Times works in turn, round after round, the first of which warms code and disk and does not count.
 *
 * The processes that a work starts have ended before the next begins: each pays for its own.
 *
 * @param {Readonly<Record<string, Work>>} works - by name; the first is what the others are measured against
 * @param {number} rounds
 * @param {boolean} [warms] - whether there is such a first round; long works need none
 * @returns {Promise<Record<string, RatedTime[]>>} for each, its times and their ratios to the first of the same round
 */
export async function inTurn(works, rounds, warms = true) {
  const names = Object.keys(works);
  /** @type {Record<string, RatedTime[]>} */
  const times = Object.fromEntries(names.map((name) => [name, []]));
  for (let round = warms ? 0 : 1; round <= rounds; round++) {
    /** @type {Time | null} */
    let bare = null;
    for (const name of names) {
      await untilAllEnded();
      const time = await timed(works[name]);
      bare ??= time;
      if (round > 0) {
        times[name].push({
          ...time,
          wallRatio: time.wall / bare.wall,
          cpuRatio: time.cpu / bare.cpu,
        });
      }
    }
  }
  return times;
}

/**
 * Columns of a row of {@link inTurn}.
 *
 * @param {readonly RatedTime[]} times
 * @param {number} frames
 * @returns {Record<string, string>}
 */
export function ratios(times, frames) {
  return {
    "wall, ratio": spread(times.map(({ wallRatio }) => wallRatio)),
    "processor, ratio": spread(times.map(({ cpuRatio }) => cpuRatio)),
    "wall, ms a frame": (median(times.map(({ wall }) => wall)) / frames).toFixed(1),
    "processor, ms a frame": (median(times.map(({ cpu }) => cpu)) / frames).toFixed(1),
  };
}

/**
 * Median, least and most.
 *
 * @param {readonly number[]} values
 */
export function spread(values) {
  return `${median(values).toFixed(2)} (${Math.min(...values).toFixed(2)} to ${Math.max(...values).toFixed(2)})`;
}
