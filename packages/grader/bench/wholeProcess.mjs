import { spawnSync } from "node:child_process";
import { median } from "@tonefall/tone-core";
import { spread } from "./timing.mjs";

/**
 * Milliseconds of a whole process, its start included.
 *
 * @typedef {{ wall: number, cpu: number }} WholeTime
 */

/**
 * Runs a command by the shell, whose `times` tells what its children took of the processor.
 *
 * @param {readonly string[]} command
 * @param {Readonly<Record<string, string>>} [env] - beside this process's own
 * @returns {WholeTime & { stdout: string }}
 * @throws Error with what it said when it fails
 */
export function wholeProcess(command, env = {}) {
  const start = performance.now();
  const { status, stdout, stderr } = spawnSync(
    "sh",
    ["-c", '"$@" || exit 1; times >&2', "sh", ...command],
    { encoding: "utf8", maxBuffer: 2 ** 26, env: { ...process.env, ...env } },
  );
  const wall = performance.now() - start;
  if (status !== 0) throw new Error(stderr);
  const children = stderr.trim().split("\n").at(-1) ?? "";
  const seconds = [...children.matchAll(/([\d.]+)m([\d.]+)s/g)].map(
    ([, minutes, rest]) => 60 * Number(minutes) + Number(rest),
  );
  return { stdout, wall, cpu: 1000 * seconds.reduce((sum, value) => sum + value, 0) };
}

/**
 * Times whole processes in turn, round after round, the first of which warms the disk and does not count.
 *
 * @param {readonly (() => WholeTime)[]} works - the first is what the others are measured against
 * @param {number} rounds
 * @returns {WholeTime[][]} of each, round by round
 */
export function wholeInTurn(works, rounds) {
  /** @type {WholeTime[][]} */
  const times = works.map(() => []);
  for (let round = 0; round <= rounds; round++) {
    for (const [i, work] of works.entries()) {
      const time = work();
      if (round > 0) times[i]?.push(time);
    }
  }
  return times;
}

/**
 * Columns that compare whole processes with others of the same rounds.
 *
 * @param {readonly WholeTime[]} times
 * @param {readonly WholeTime[]} others
 * @returns {Record<string, string>}
 */
export function besideOthers(times, others) {
  /** @param {"wall" | "cpu"} key */
  const ratio = (key) => spread(times.map((time, i) => time[key] / (others[i]?.[key] ?? 0)));
  /** @param {readonly WholeTime[]} of */
  const least = (of) => Math.min(...of.map(({ wall }) => wall));
  return {
    "wall, ratio": ratio("wall"),
    "wall, ratio of the least": (least(times) / least(others)).toFixed(2),
    "processor, ratio": ratio("cpu"),
    "wall, ms": median(times.map(({ wall }) => wall)).toFixed(0),
    "processor, ms": median(times.map(({ cpu }) => cpu)).toFixed(0),
  };
}
