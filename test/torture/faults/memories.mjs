import { mkdir, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import {
  GraderError,
  gradeFrames,
  mergeRows,
  openJournal,
  readRows,
  rowCache,
} from "@tonefall/grader";
import sharp from "sharp";
import { tonefall } from "../command.mjs";
import { damageText } from "../damageText.mjs";
import { randomFrom } from "../random.mjs";

const BRIEF = { place: -1 };

/**
 * Small frames of different tones, so that no row stands for another.
 *
 * @param {string} folder
 */
async function shoot(folder) {
  const home = join(folder, "shoot");
  await mkdir(home);
  for (const [i, code] of [60, 90, 118, 150].entries()) {
    const background = { r: code, g: code, b: code };
    const picture = sharp({ create: { width: 64, height: 48, channels: 3, background } });
    await picture.jpeg().toFile(join(home, `${i}.jpg`));
  }
  return (await readdir(home)).sort().map((name) => join(home, name));
}

/** @param {AsyncIterable<import("@tonefall/grader").FrameResult>} rows */
async function linesOf(rows) {
  const lines = [];
  for await (const row of rows) lines.push(JSON.stringify(row));
  return lines.join("\n");
}

/** @typedef {{ what: string, bytes?: Buffer, changes?: string[] }} Came */

/**
 * Tries damage with one seed after another, and counts what came of it.
 *
 * @param {Pick<import("../trial.mjs").Trial, "seed" | "keep"> & { count: number }} trials
 * @param {(of: number) => Promise<Came>} trial
 * @returns {Promise<import("../trial.mjs").Outcome>}
 */
async function trials({ seed, keep, count }, trial) {
  const came = new Map();
  /** @type {string[]} */
  const broken = [];
  for (let i = 0; i < count; i++) {
    const of = 100_000 * seed + i;
    const { what, bytes, changes } = await trial(of).catch(
      (error) => /** @type {Came} */ ({ what: error.stack }),
    );
    came.set(what, (came.get(what) ?? 0) + 1);
    if (what === "the same bytes" || what.startsWith("refused")) continue;
    broken.push(`seed ${of} (${changes}): ${what}`);
    if (bytes) await keep(`memory ${of}`, bytes);
  }
  const what = [...came].map(([name, times]) => `${times} ${name.split("\n")[0]}`).join(", ");
  return { held: broken.length === 0 && came.has("the same bytes"), what, broken };
}

/**
 * What a run over a damaged memory came to.
 *
 * @param {() => Promise<string>} run
 * @param {string} whole - what an undamaged one gives
 */
async function outcome(run, whole) {
  try {
    return (await run()) === whole ? "the same bytes" : "other bytes";
  } catch (error) {
    // A typed refusal says what to do; anything else is a crash.
    if (error instanceof GraderError) return `refused: ${error.code}`;
    throw error;
  }
}

/**
 * Memories of rows, and parts of runs, that are not what was written.
 *
 * @type {readonly import("../trial.mjs").Fault[]}
 */
export const memoryFaults = [
  {
    name: "a damaged journal",
    promise: "the bytes of an undamaged run, or a refusal in words where no line is left",
    run: async ({ folder, short, seed, keep }) => {
      const files = await shoot(folder);
      const path = join(folder, "journal");
      const graded = async () => {
        const journal = await openJournal(path, { brief: BRIEF, options: {} });
        try {
          return await linesOf(gradeFrames(files, BRIEF, { memory: [journal] }));
        } finally {
          await journal.close();
        }
      };
      const whole = await graded();
      const sound = await readFile(path);
      return trials({ seed, keep, count: short ? 60 : 300 }, async (of) => {
        const { bytes, changes } = damageText(sound, of);
        await writeFile(path, bytes);
        return { what: await outcome(graded, whole), bytes, changes };
      });
    },
  },
  {
    name: "a damaged cache",
    promise: "the bytes of an undamaged run",
    run: async ({ folder, short, seed, keep }) => {
      const files = await shoot(folder);
      const home = join(folder, "cache");
      const graded = async () => {
        const cache = rowCache(home);
        const rows = await linesOf(gradeFrames(files, BRIEF, { memory: [cache] }));
        await cache.close();
        return rows;
      };
      const whole = await graded();
      return trials({ seed, keep, count: short ? 20 : 100 }, async (of) => {
        const entries = await readdir(home, { recursive: true, withFileTypes: true });
        const stored = entries.filter((entry) => entry.isFile());
        const { parentPath, name } = randomFrom(of).of(stored);
        const { bytes, changes } = damageText(await readFile(join(parentPath, name)), of);
        await writeFile(join(parentPath, name), bytes);
        const what = await outcome(graded, whole);
        return { what: what.startsWith("refused") ? `was ${what}` : what, bytes, changes };
      });
    },
  },
  {
    name: "damaged parts of a split run",
    promise: "merged into the bytes of one run, or a refusal in words",
    run: async ({ folder, short, seed, keep }) => {
      const [home] = await shoot(folder).then((files) => [join(files[0], "..")]);
      const parts = ["ndjson", "json"].map((form, i) => join(folder, `part ${i + 1}.${form}`));
      for (const [i, form] of ["ndjson", "json"].entries()) {
        const words = ["--shard", `${i + 1}/2`, "-f", form, "-o", parts[i]];
        await tonefall(["grade", home, "--place", "-1", "--no-cache", ...words]);
      }
      const merged = async () => {
        const { rows } = await mergeRows(
          parts.map((path) => ({ name: path, rows: () => readRows(path) })),
        );
        return linesOf(rows);
      };
      const whole = await merged();
      const sound = await Promise.all(parts.map((path) => readFile(path)));
      return trials({ seed, keep, count: short ? 40 : 100 }, async (of) => {
        const which = of % 2;
        const { bytes, changes } = damageText(sound[which], of);
        await writeFile(parts[which], bytes);
        const what = await outcome(merged, whole);
        await writeFile(parts[which], sound[which]);
        return { what, bytes, changes };
      });
    },
  },
  {
    name: "a damaged journal, by the command",
    promise: "one line that counts what was damaged, the bytes of an undamaged run",
    run: async ({ folder }) => {
      const home = join((await shoot(folder))[0], "..");
      const path = join(folder, "journal");
      const words = ["grade", home, "--place", "-1", "--no-cache", "--resume", path, "-f", "json"];
      const { stdout } = await tonefall(words);
      const lines = (await readFile(path, "utf8")).split("\n");
      lines[2] = lines[2].replace(/"stops":-?\d/, '"stops":7');
      await writeFile(path, lines.join("\n"));
      const run = await tonefall(words);
      const counted = /^tonefall: 1 damaged line in /m.test(run.stderr);
      const again = await tonefall(words);
      await rm(path);
      const same = run.stdout === stdout && again.stdout === stdout;
      return {
        held: same && counted && !again.stderr.includes("damaged"),
        what: `${same ? "the same bytes" : "other bytes"}: ${run.stderr.trim()}`,
      };
    },
  },
];
