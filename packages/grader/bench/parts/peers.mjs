import { fileURLToPath } from "node:url";
import { MIDDLE_GREY } from "@tonefall/tone-core";
import sharp from "sharp";
import { imageMagick, vips } from "../../../../test/outside.mjs";
import { pictures } from "../pictures.mjs";
import { timed } from "../timing.mjs";
import { wholeProcess } from "../wholeProcess.mjs";

const BARE = fileURLToPath(new URL("../bareDecodeScript.mjs", import.meta.url));
const COMMAND = fileURLToPath(new URL("../../dist/cli.js", import.meta.url));

/**
 * What one would script instead, asked for the mean luminance of the same files: each file a process of its own, as a
 * shell loop runs them, and ours the folder in one.
 *
 * @param {{ short: boolean }} how
 */
export async function measure({ short }) {
  const [frames, megapixels] = short ? [1, 5] : [8, 24];
  const files = await pictures(frames, { megapixels });
  // Without the cache, or a second benchmark would measure how rows are looked up.
  /** @param {...string} flags */
  const ours = (...flags) => [
    ...[process.execPath, COMMAND, "grade", "--no-cache"],
    ...[...flags, "-f", "json"],
  ];
  const rows = [
    folder("tonefall grade --exact", ours("--exact"), files),
    folder("tonefall grade", ours(), files),
    folder("tonefall grade --quick", ours("--quick"), files),
    oneByOne(
      "ImageMagick convert, LinearGray, fx:mean",
      (file) => [CONVERT, file, "-colorspace", "LinearGray", "-format", "%[fx:mean]", "info:"],
      files,
      (text) => stops(Number(text)),
    ),
    oneByOne(
      "vips hist_find",
      (file) => [VIPS, "hist_find", file, "/dev/null.v"],
      files,
      () => CODES,
    ),
    oneByOne(
      "vips stats",
      (file) => [VIPS, "stats", file, "/dev/null.v"],
      files,
      () => CODES,
    ),
    await stats(files),
    oneByOne(
      "node, sharp: the bare decode alone",
      (file) => [process.execPath, BARE, "1", file],
      files,
      () => "none",
    ),
  ];
  return {
    about: `${frames} JPEGs of ${megapixels} megapixels, once each: a whole process where not said otherwise. The answer is the first file's mean luminance, where the tool gives one.`,
    rows,
  };
}

const { path: CONVERT } = imageMagick();
const { path: VIPS } = vips();

const CODES = "of codes alone: no luminance";

/** @typedef {import("../timing.mjs").Time} Time */

/** @typedef {Readonly<Record<string, string>>} Row */

/**
 * Ours: all files in one process.
 *
 * @param {string} what
 * @param {readonly string[]} command
 * @param {readonly string[]} files
 * @returns {Row}
 */
function folder(what, command, files) {
  const run = wholeProcess([...command, ...files]);
  const [first] = JSON.parse(run.stdout).frames;
  return row(what, run, files.length, `${first.fall.stops.toFixed(3)} stops`);
}

/**
 * @param {string} what
 * @param {(file: string) => readonly (string | null)[]} command - its first part is null where the tool is not installed
 * @param {readonly string[]} files
 * @param {(stdout: string) => string} answer
 * @returns {Row}
 */
function oneByOne(what, command, files, answer) {
  if (command("")[0] === null) return { what, "wall, ms a frame": "not installed" };
  const runs = files.map((file) => wholeProcess(/** @type {string[]} */ (command(file))));
  /** @param {keyof Time} key */
  const total = (key) => runs.reduce((sum, run) => sum + run[key], 0);
  const run = { wall: total("wall"), cpu: total("cpu") };
  return row(what, run, files.length, answer(runs[0]?.stdout ?? ""));
}

/**
 * @param {readonly string[]} files
 * @returns {Promise<Row>}
 */
async function stats(files) {
  const time = await timed(async () => {
    for (const file of files) await sharp(file, { ignoreIcc: true }).stats();
  });
  return row("sharp.stats(), in this process", time, files.length, CODES);
}

/**
 * @param {string} what
 * @param {Time} time
 * @param {number} frames
 * @param {string} answer
 * @returns {Row}
 */
function row(what, { wall, cpu }, frames, answer) {
  return {
    what,
    "wall, ms a frame": (wall / frames).toFixed(0),
    "processor, ms a frame": (cpu / frames).toFixed(0),
    answer,
  };
}

/** @param {number} luminance */
function stops(luminance) {
  return `${Math.log2(luminance / MIDDLE_GREY).toFixed(3)} stops`;
}
