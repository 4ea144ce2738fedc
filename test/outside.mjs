// What tests, the benchmark and the fault list use that is no part of this repository: real photographs, and the tools
// of other projects. Only this file decides what may be used. With TONEFALL_BARE=1 that is nothing, as on a machine that
// has none of it: `.ci/run` so runs every test that imports this file a second time.
import { spawnSync } from "node:child_process";
import { accessSync, constants, existsSync } from "node:fs";
import { delimiter, join } from "node:path";
import { fileURLToPath } from "node:url";

const BARE = process.env["TONEFALL_BARE"] === "1";
const BESIDE = fileURLToPath(new URL("../../shared/", import.meta.url));

/**
 * @typedef {object} Outside
 * @property {string | null} path - null where it may not be used
 * @property {string} skipped - for the end of a title: why tests cannot run here; empty where they can
 */

/** Folder of real photographs with recorded answers: beside the checkout, or where TONEFALL_CORPUS says. */
export const corpus = outside(
  withFile(process.env["TONEFALL_CORPUS"] ?? join(BESIDE, "corpus"), "truth.json"),
  "no folder of real photographs",
);

/** The table of published values as it was handed to this project. */
export const referenceTable = outside(
  existsSync(join(BESIDE, "reference/check-values.json"))
    ? join(BESIDE, "reference/check-values.json")
    : null,
  "no reference table beside the checkout",
);

export const exifTool = outside(onPath("exiftool"), "ExifTool is not installed");

/** LibRaw's tools come together: `raw-identify` and `4channels`. */
export const libRawTools = outside(onPath("raw-identify"), "LibRaw's tools are not installed");

export const heifConvert = outside(onPath("heif-convert"), "heif-convert is not installed");
export const heifEnc = outside(onPath("heif-enc"), "heif-enc is not installed");

/** Driven by WebDriver BiDi, over the socket that Node has behind a flag. */
export const firefox = outside(onPath("firefox-esr"), "Firefox is not installed");

export const chromium = outside(onPath("chromium"), "Chromium is not installed");

/** GNU parallel; another program of that name does not say so. */
export function gnuParallel() {
  return outside(
    thatSays(["parallel"], "--version", "GNU parallel"),
    "GNU parallel is not installed",
  );
}

/** Slurm with its daemons and munge, which only root may start here. */
export function slurm() {
  const all = ["sbatch", "slurmctld", "slurmd", "munged"].every(
    (name) => onPath(name) ?? existsSync(`/usr/sbin/${name}`),
  );
  const mayStart = process.getuid?.() === 0;
  return outside(
    all && mayStart ? onPath("sbatch") : null,
    all ? "starting Slurm needs root" : "Slurm is not installed",
  );
}

/** Programs of several projects are called `convert`, so this one has to say what it is. */
export function imageMagick() {
  return outside(
    thatSays(["magick", "convert", "convert-im6.q16"], "-version", "ImageMagick"),
    "ImageMagick is not installed",
  );
}

export function vips() {
  return outside(thatSays(["vips"], "--version", "vips"), "vips is not installed");
}

/**
 * @param {string | null} path
 * @param {string} absent - why tests cannot run without it
 * @returns {Outside}
 */
function outside(path, absent) {
  return BARE || path === null
    ? { path: null, skipped: ` (skipped: ${absent})` }
    : { path, skipped: "" };
}

/**
 * @param {string} folder
 * @param {string} name
 */
function withFile(folder, name) {
  return existsSync(join(folder, name)) ? folder : null;
}

/** @param {string} name */
function onPath(name) {
  const candidates = (process.env["PATH"] ?? "").split(delimiter).map((at) => join(at, name));
  return candidates.find(isExecutable) ?? null;
}

/** @param {string} path */
function isExecutable(path) {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}

/**
 * @param {string[]} names
 * @param {string} flag
 * @param {string} words
 */
function thatSays(names, flag, words) {
  const says = (/** @type {string} */ name) =>
    spawnSync(name, [flag], { encoding: "utf8" }).stdout?.includes(words);
  return names.find(says) ?? null;
}
