// What does marking a class cost beside grading the same files, what does a second run cost after three new hand-ins, and which
// copies are found? `node packages/grader/bench/class.bench.mjs [frames] [folder of photographs]`, after a build;
// with 0 frames it looks for copies alone.
import { link, mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { findFrames, gradeFrame } from "@tonefall/grader";
import sharp from "sharp";
import { readLikeness, sameFromFarAway } from "../dist/classes/compareLikeness.js";
import { markdownTable } from "../dist/output/text/markdownTable.js";
import { pictures } from "./pictures.mjs";
import { startedProcess } from "./startedProcess.mjs";

const COMMAND = fileURLToPath(new URL("../dist/cli.js", import.meta.url));
const MEGAPIXELS = 5;
const STUDENTS = 10;
const NEW_HAND_INS = 3;

/** Copies are at least this wide, pixels: smaller ones are no pictures to hand in. */
const LEAST_WIDTH = 64;

/**
 * A copy of a share of the width, in a JPEG quality, and what else was done to it.
 *
 * @typedef {object} Copied
 * @property {number} quality
 * @property {number} share
 * @property {(one: import("sharp").Sharp) => import("sharp").Sharp} [also]
 * @property {number} [crop] - share of each side
 */

/** @type {Readonly<Record<string, Copied>>} */
const COPIES = {
  "quality 30": { quality: 30, share: 1 },
  "quality 90": { quality: 90, share: 1 },
  "quality 60, scale 1/2": { quality: 60, share: 1 / 2 },
  "quality 80, scale 1/4": { quality: 80, share: 1 / 4 },
  "quality 85, scale 1/8": { quality: 85, share: 1 / 8 },
  "mirrored, quality 60, scale 1/2": { quality: 60, share: 1 / 2, also: (one) => one.flop() },
  "on its side, quality 60, scale 1/2": {
    quality: 60,
    share: 1 / 2,
    also: (one) => one.rotate(90),
  },
  "turned by half, quality 60, scale 1/2": {
    quality: 60,
    share: 1 / 2,
    also: (one) => one.rotate(180),
  },
  "cropped by 2 % a side": { quality: 90, share: 1, crop: 0.02 },
  "cropped by 5 % a side": { quality: 90, share: 1, crop: 0.05 },
  "cropped by 10 % a side": { quality: 90, share: 1, crop: 0.1 },
};

const [frames = "200", photographs] = process.argv.slice(2);
if (Number(frames) > 0) await scale(Number(frames));
if (photographs !== undefined) await copies(photographs);

/** @param {number} count - of frames */
async function scale(count) {
  const all = await pictures(count + NEW_HAND_INS, { megapixels: MEGAPIXELS });
  const folder = await mkdtemp(join(tmpdir(), "tonefall class bench "));
  try {
    const each = Math.floor(count / STUDENTS);
    const codes = Array.from({ length: STUDENTS }, (_, i) => `s${String(i + 1).padStart(2, "0")}`);
    for (const [i, path] of all.slice(0, each * STUDENTS).entries()) {
      await handIn(folder, codes[Math.floor(i / each)], path, i);
    }
    await writeFile(
      join(folder, "class.yaml"),
      `class: Bench\nstudents: [${codes.join(", ")}]\nhand-ins: "{student}"\nexercises:\n  week1:\n    tasks: { all: { place: 0, frames: ${Math.min(100, each + NEW_HAND_INS)} } }\n`,
    );
    const bare = { TONEFALL_CACHE: "" };
    const cached = { TONEFALL_CACHE: join(folder, "cache") };
    /** @param {Record<string, string>} env */
    const mark = (env) => timed(["class", "mark", folder, "-f", "json"], env, folder);
    /** @param {Record<string, string>} env */
    const grade = (env) =>
      timed(["grade", folder, "--place", "0", "--voice", "student", "-f", "json"], env, folder);
    const rows = [];
    // One after the other, twice, so that a busy machine slows both.
    for (const turn of [1, 2]) {
      rows.push(
        { run: `grade, ${turn}`, ...grade(bare) },
        { run: `class mark, ${turn}`, ...mark(bare) },
      );
    }
    rows.push({ run: "class mark, into an empty cache", ...mark(cached) });
    for (const [i, path] of all.slice(-NEW_HAND_INS).entries()) {
      await handIn(folder, codes[i], path, count + i);
    }
    rows.push({ run: `class mark, after ${NEW_HAND_INS} new hand-ins`, ...mark(cached) });
    rows.push({ run: "class mark, all from the cache", ...mark(cached) });
    const heading = `${each * STUDENTS} frames of ${MEGAPIXELS} megapixels, each run in a process of its own, its start included`;
    process.stdout.write(`${heading}\n\n${table(rows)}\n`);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/**
 * @param {string} folder - of the class
 * @param {string} code - of the student
 * @param {string} path - of the picture
 * @param {number} i - what tells it apart
 */
async function handIn(folder, code, path, i) {
  const own = join(folder, code);
  await mkdir(own, { recursive: true });
  await link(path, join(own, `IMG_${i}.jpg`));
}

/**
 * @param {readonly string[]} args
 * @param {Record<string, string>} env
 * @param {string} folder - for what it writes
 */
function timed(args, env, folder) {
  const start = performance.now();
  startedProcess([COMMAND, ...args, "--force", "-o", join(folder, "out.json")], env);
  return { seconds: ((performance.now() - start) / 1000).toFixed(1) };
}

/** @param {string} folder - of photographs */
async function copies(folder) {
  const { frames: found } = await findFrames([folder]);
  /** @type {{ path: string, likeness: Likeness }[]} */
  const originals = [];
  /** @type {Map<string, { copies: number, found: number }>} */
  const rows = new Map();
  for (const { path } of found.filter((frame) => /\.jpe?g$/i.test(frame.path))) {
    const likeness = await likenessOf(path);
    if (!likeness || likeness.spread < 0.15) continue;
    originals.push({ path, likeness });
    if (originals.length % 3 !== 0) continue;
    for (const [key, changed] of Object.entries(COPIES)) {
      const copy = await copyOf(path, changed);
      const other = copy && (await likenessOf(copy));
      if (!other) continue;
      const { copies: count = 0, found: alike = 0 } = rows.get(key) ?? {};
      const hit = sameFromFarAway(likeness, other) ? 1 : 0;
      rows.set(key, { copies: count + 1, found: alike + hit });
    }
  }
  process.stdout.write(`${table([...rows].map(([copy, row]) => ({ copy, ...row })))}\n`);
  const pairs = originals.flatMap((one, i) =>
    originals.slice(0, i).flatMap((other) => {
      const same = sameFromFarAway(one.likeness, other.likeness);
      return same ? [`${same.turn} ${one.path} ${other.path}`] : [];
    }),
  );
  const all = (originals.length * (originals.length - 1)) / 2;
  process.stdout.write(
    `${pairs.length} of ${all} pairs of originals look alike:\n${pairs.join("\n")}\n`,
  );
}

/**
 * @param {string} path
 * @param {Copied} changed
 * @returns {Promise<Buffer | null>} null where the copy would be too small, or the picture cannot be decoded
 */
async function copyOf(path, { quality, share, also = (one) => one, crop = 0 }) {
  try {
    const upright = await sharp(path, { failOn: "none" })
      .autoOrient()
      .toBuffer({ resolveWithObject: true });
    const width = Math.round(upright.info.width * share);
    if (width < LEAST_WIDTH) return null;
    /** @param {number} length */
    const kept = (length) => Math.max(1, Math.round(length * (1 - 2 * crop)));
    const part = {
      left: Math.floor(upright.info.width * crop),
      top: Math.floor(upright.info.height * crop),
      width: kept(upright.info.width),
      height: kept(upright.info.height),
    };
    const smaller = sharp(upright.data).extract(part).resize(width).keepIccProfile();
    // One after the other: the library has an order of its own.
    const copy = also(sharp(await smaller.png().toBuffer()));
    return await copy.keepIccProfile().jpeg({ quality }).toBuffer();
  } catch {
    return null;
  }
}

/** @typedef {import("../dist/classes/compareLikeness.js").Likeness} Likeness */

/** @param {string | Buffer} source */
async function likenessOf(source) {
  const { likeness } = await gradeFrame(source, {}, { likeness: true });
  return likeness === undefined ? null : readLikeness(likeness);
}

/** @param {readonly Record<string, string | number>[]} rows - with the same columns */
function table(rows) {
  const columns = Object.keys(rows[0] ?? {});
  return markdownTable(
    columns,
    rows.map((row) => columns.map((column) => String(row[column]))),
  );
}
