import { availableParallelism } from "node:os";
import { setTimeout as delay } from "node:timers/promises";
import { gradeFrames } from "@tonefall/grader";
import sharp from "sharp";
import { children } from "./children.mjs";

/** Frames in work at once, on both sides of a comparison. */
export const JOBS = availableParallelism();

sharp.cache(false);
sharp.concurrency(1);

/** Decodes every file in full and throws the pixels away: what grading is measured against. */
export async function bareDecode(paths, jobs = JOBS) {
  const queue = [...paths];
  const work = async () => {
    for (let path = queue.shift(); path !== undefined; path = queue.shift()) {
      await sharp(path, { sequentialRead: true, ignoreIcc: true }).raw().toBuffer();
    }
  };
  await Promise.all(Array.from({ length: jobs }, work));
}

/** Grades every file; one that fails ends the benchmark. */
export async function grade(paths, brief, options) {
  for await (const { failure } of gradeFrames(paths, brief, options)) {
    if (failure) throw new Error(failure.message);
  }
}

/** Milliseconds of wall and of processor time that some work takes, here and in the processes that it works with. */
export async function timed(work) {
  const atFirst = new Map(children().map(({ pid, cpu }) => [pid, cpu]));
  const before = process.cpuUsage();
  const start = performance.now();
  await work();
  const wall = performance.now() - start;
  const { user, system } = process.cpuUsage(before);
  const theirs = children().map(({ pid, cpu }) => cpu - (atFirst.get(pid) ?? 0));
  return { wall, cpu: (user + system) / 1000 + theirs.reduce((sum, cpu) => sum + cpu, 0) };
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
 * @param works - by name; the first is what the others are measured against
 * @returns for each, its times and their ratios to the first of the same round
 */
export async function inTurn(works, rounds) {
  const names = Object.keys(works);
  const times = Object.fromEntries(names.map((name) => [name, []]));
  for (let round = 0; round <= rounds; round++) {
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

/** Columns of a row of {@link inTurn}. */
export function ratios(times, frames) {
  return {
    "wall, ratio": spread(times.map(({ wallRatio }) => wallRatio)),
    "processor, ratio": spread(times.map(({ cpuRatio }) => cpuRatio)),
    "wall, ms a frame": (median(times.map(({ wall }) => wall)) / frames).toFixed(1),
    "processor, ms a frame": (median(times.map(({ cpu }) => cpu)) / frames).toFixed(1),
  };
}

export function median(values) {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)];
}

/** Median, least and most. */
export function spread(values) {
  return `${median(values).toFixed(2)} (${Math.min(...values).toFixed(2)} to ${Math.max(...values).toFixed(2)})`;
}
