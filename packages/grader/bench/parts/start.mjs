import { fork } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { median } from "@tonefall/tone-core";
import { KEPT_MEMORY } from "../../dist/picture/pool/processWorker.js";
import { pictures } from "../pictures.mjs";
import { smallJpegs } from "../smallJpegs.mjs";
import { JOBS, spread } from "../timing.mjs";
import { besideOthers, wholeInTurn, wholeProcess } from "../wholeProcess.mjs";

/** @param {string} path - within this package */
const file = (path) => fileURLToPath(new URL(`../../${path}`, import.meta.url));

const COMMAND = file("dist/cli.js");
const GRADING_PROCESS = file("dist/command/gradingProcess.js");

/** Without the cache, or a second round would measure how rows are looked up. */
const NO_CACHE = { TONEFALL_CACHE: "" };

/** @param {readonly string[]} args */
const node =
  (...args) =>
  () =>
    wholeProcess([process.execPath, ...args], NO_CACHE);

/**
 * Short runs as whole processes, each beside what a bare script takes: where most of the time is the start.
 *
 * @param {{ short: boolean }} how
 */
export async function measure({ short }) {
  const [megapixels, many, records, rounds, few] = short ? [5, 2, 20, 1, 1] : [24, 24, 1000, 11, 5];
  const paths = await pictures(Math.max(4, many), { megapixels });
  const folder = await mkdtemp(join(tmpdir(), "tonefall start "));
  try {
    const small = await smallJpegs(folder, records);
    const nothing = node("-e", "0");
    /** @param {readonly string[]} files */
    const bare = (files) => node(file("bench/bareDecodeScript.mjs"), `${JOBS}`, ...files);
    /** @param {readonly string[]} args */
    const ours = (...args) => node(COMMAND, ...args);
    const [one, four, all] = [paths.slice(0, 1), paths.slice(0, 4), paths.slice(0, many)];
    const jpegs = `of ${megapixels} megapixels`;
    return {
      about: `Whole processes, their start included, without the cache; each beside a bare process in the same rounds, ${rounds} of them or ${few} of the long ones: median (least to most). A bare decode is a script that imports sharp and decodes the same JPEGs, ${JOBS} at once.`,
      rows: [
        ...compared("node -e 0", nothing, rounds, [
          ["--help", "2", ours("--help")],
          ["tones", "2", ours("tones")],
        ]),
        ...compared("a bare decode", bare(one), rounds, [
          [`grade, 1 frame ${jpegs}`, "1.25", ours("grade", ...one)],
        ]),
        ...compared("a bare decode", bare(four), rounds, [
          [`grade, 4 frames ${jpegs}`, "1.15", ours("grade", ...four)],
        ]),
        ...compared("a bare decode", bare(all), few, [
          [`grade, ${many} frames ${jpegs}`, "0.70", ours("grade", ...all)],
          [`grade --exact, ${many} frames ${jpegs}`, "0.75", ours("grade", "--exact", ...all)],
        ]),
        ...compared(
          "64 KB read of each",
          node(file("bench/bareReadScript.mjs"), `${4 * JOBS}`, small),
          rounds,
          [[`read, ${records} small JPEGs`, "1.5", ours("read", small, "-f", "ndjson")]],
        ),
        await startOfProcess(rounds),
      ],
    };
  } finally {
    await rm(folder, { recursive: true });
  }
}

/**
 * @param {string} beside - what the bare process does
 * @param {() => import("../wholeProcess.mjs").WholeTime} bare
 * @param {number} rounds
 * @param {readonly (readonly [what: string, aim: string, work: () => import("../wholeProcess.mjs").WholeTime])[]} ours
 */
function compared(beside, bare, rounds, ours) {
  const [others = [], ...times] = wholeInTurn([bare, ...ours.map(([, , work]) => work)], rounds);
  return ours.map(([what, aim], i) => ({
    what,
    beside,
    "wall, aim": aim,
    ...besideOthers(times[i] ?? [], others),
  }));
}

/**
 * A grading process until it is ready for its first frame.
 *
 * @param {number} rounds
 */
async function startOfProcess(rounds) {
  const times = [];
  for (let round = 0; round <= rounds; round++) {
    const start = performance.now();
    const child = fork(GRADING_PROCESS, {
      env: { ...process.env, ...KEPT_MEMORY },
      execArgv: [],
      serialization: "advanced",
    });
    await once(child, "message");
    if (round > 0) times.push(performance.now() - start);
    const ended = once(child, "exit");
    child.kill("SIGKILL");
    await ended;
  }
  return {
    what: "a grading process, until it is ready",
    beside: `${spread(times.map((time) => time / 1000))} s`,
    "wall, aim": "0.15 s",
    "wall, ms": median(times).toFixed(0),
  };
}
