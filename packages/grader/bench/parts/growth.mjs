import { mkdtemp, readdir, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pictures } from "../pictures.mjs";
import { smallJpegs } from "../smallJpegs.mjs";
import { bareDecode, grade, inTurn, JOBS, ratios } from "../timing.mjs";

/** Width of the pictures of which there are many, pixels. */
const SMALL_WIDTH = 600;

/** Runs of so many frames are measured once. */
const LONG = 1000;

/**
 * Whether time grows with pixels and with frames, and no faster, and whether more frames in work than processors hurt.
 *
 * @param {{ short: boolean }} how
 */
export async function measure({ short }) {
  const rounds = short ? 1 : 3;
  const rows = [
    ...(await bySize(short ? [1, 5] : [1, 4, 12, 24, 48, 100], rounds)),
    ...(await byNumber(short ? [1, 2] : [10, 100, 1000, 10_000], rounds)),
    ...(await byJobs(short ? [2] : [2, 4, 8], short ? 2 : 36, rounds)),
  ];
  return {
    about: `Standard grading beside a bare decode: one frame at a time by size, then ${JOBS} at once by their number, every file of its own, then by the frames in work, beside a bare decode of ${JOBS} at once; ${rounds} rounds in turn, or 1 of 1,000 frames and more.`,
    rows,
  };
}

/**
 * @param {readonly number[]} sizes - megapixels
 * @param {number} rounds
 */
async function bySize(sizes, rounds) {
  const rows = [];
  for (const megapixels of sizes) {
    const paths = await pictures(1, { megapixels });
    // Small pictures are graded several times over, or a timer's grain and a warm-up would be measured.
    const frames = Math.max(1, Math.round(Math.max(...sizes) / 4 / megapixels));
    const sources = Array.from({ length: frames }).fill(paths[0]);
    const what = `${megapixels} megapixel${megapixels === 1 ? "" : "s"}`;
    rows.push(await row(what, sources, { jobs: 1, bareJobs: 1, rounds, megapixels }));
  }
  return rows;
}

/**
 * @param {readonly number[]} counts
 * @param {number} rounds
 */
async function byNumber(counts, rounds) {
  const folder = await mkdtemp(join(tmpdir(), "tonefall growth "));
  try {
    const made = await smallJpegs(folder, Math.max(...counts), SMALL_WIDTH);
    const paths = (await readdir(made)).map((name) => join(made, name));
    const megapixels = (SMALL_WIDTH * SMALL_WIDTH) / 1.5 / 1e6;
    const rows = [];
    for (const count of counts) {
      rows.push(
        await row(`${count} frames of ${megapixels} megapixels`, paths.slice(0, count), {
          jobs: JOBS,
          bareJobs: JOBS,
          rounds: count < LONG ? rounds : 1,
          megapixels,
        }),
      );
    }
    return rows;
  } finally {
    await rm(folder, { recursive: true });
  }
}

/**
 * @param {readonly number[]} inWork
 * @param {number} count - of frames
 * @param {number} rounds
 */
async function byJobs(inWork, count, rounds) {
  const megapixels = 5;
  const paths = await pictures(Math.min(12, count), { megapixels });
  const sources = Array.from({ length: count }, (_, i) => paths[i % paths.length]);
  const rows = [];
  for (const jobs of inWork) {
    const what = `${count} frames of ${megapixels} megapixels, ${jobs} in work`;
    rows.push(await row(what, sources, { jobs, bareJobs: JOBS, rounds, megapixels }));
  }
  return rows;
}

/**
 * @param {string} what
 * @param {readonly string[]} sources
 * @param {{ jobs: number, bareJobs: number, rounds: number, megapixels: number }} how - megapixels of each source
 */
async function row(what, sources, { jobs, bareJobs, rounds, megapixels }) {
  const times = await inTurn(
    {
      bare: () => bareDecode(sources, bareJobs),
      graded: () => grade(sources, { place: 0 }, { jobs }),
    },
    rounds,
    sources.length < LONG,
  );
  const columns = ratios(times.graded, sources.length);
  const perMegapixel = Number(columns["processor, ms a frame"]) / megapixels;
  return { what, ...columns, "processor, ms a megapixel": perMegapixel.toFixed(2) };
}
