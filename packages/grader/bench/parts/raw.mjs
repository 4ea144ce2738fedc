import { readdirSync } from "node:fs";
import { join } from "node:path";
import { gradeFrame } from "@tonefall/grader";
import { corpus } from "../../../../test/outside.mjs";
import { BareUnpack } from "../bareLibRaw.mjs";
import { rawFile } from "../rawFile.mjs";
import { grade, inTurn, ratios } from "../timing.mjs";

/**
 * Grading raw files beside the bare unpack by the same build of LibRaw.
 *
 * @param {{ short: boolean }} how
 */
export async function measure({ short }) {
  const [frames, megapixels, rounds] = short ? [2, 5, 1] : [4, 24, 3];
  /** @param {"plain" | "lossless"} coding */
  const made = async (coding) => Array(frames).fill(await rawFile(megapixels, coding));
  const real = await realFiles();
  const rows = [
    ...(await compared("uncompressed", await made("plain"), 1, rounds)),
    ...(await compared("uncompressed", await made("plain"), 2, rounds)),
    ...(await compared("lossless JPEG", await made("lossless"), 1, rounds)),
    ...(await compared("lossless JPEG", await made("lossless"), 2, rounds)),
    ...(real.length > 0
      ? await compared(`${real.length} cameras' own`, real, 1, rounds)
      : [{ files: "cameras' own", mode: "not there to be measured" }]),
  ];
  return {
    about: `${frames} DNGs of ${megapixels} megapixels, and whole files of real cameras of the sizes that they have; each compared with a bare read and unpack by as many threads, ${rounds} rounds in turn: median (least to most).`,
    rows,
  };
}

/**
 * @param {string} files - what they are
 * @param {readonly string[]} paths
 * @param {number} jobs
 * @param {number} rounds
 */
async function compared(files, paths, jobs, rounds) {
  const bare = new BareUnpack(jobs);
  const works = {
    "bare unpack": () => bare.all(paths),
    exact: () => grade(paths, { place: 0 }, { jobs, precision: "exact" }),
    standard: () => grade(paths, { place: 0 }, { jobs }),
  };
  try {
    const times = await inTurn(works, rounds);
    return Object.keys(works).map((mode) => ({
      files,
      "in work": jobs,
      mode,
      ...ratios(times[mode], paths.length),
    }));
  } finally {
    await bare.end();
  }
}

/** Real raw files with a mosaic that can be graded: others are headers, developed, or coded as LibRaw does not read. */
async function realFiles() {
  if (!corpus.path) return [];
  const folder = join(corpus.path, "raw");
  const found = [];
  for (const name of readdirSync(folder)) {
    const path = `${folder}/${name}`;
    if (!/\.[a-z0-9]{3}$/i.test(name) || /\.json$/i.test(name)) continue;
    const { sensor } = await gradeFrame(path);
    if (sensor && sensor.filters.kind !== "demosaiced") found.push(path);
  }
  return found;
}
