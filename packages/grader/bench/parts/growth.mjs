import { pictures } from "../pictures.mjs";
import { bareDecode, grade, inTurn, JOBS, ratios } from "../timing.mjs";

/**
 * Whether time grows with pixels and with frames, and no faster.
 *
 * @param {{ short: boolean }} how
 */
export async function measure({ short }) {
  const sizes = short ? [1, 5] : [1, 4, 12, 24, 48, 100];
  const counts = short ? [1, 2] : [6, 12, 24, 48];
  const rounds = short ? 1 : 3;
  const rows = [];
  for (const megapixels of sizes) {
    const paths = await pictures(1, { megapixels });
    // Small pictures are graded several times over, or a timer's grain and a warm-up would be measured.
    const frames = Math.max(1, Math.round((short ? 1 : 24) / megapixels));
    const sources = Array.from({ length: frames }).fill(paths[0]);
    rows.push(await row(`${megapixels} megapixels`, sources, 1, rounds, megapixels));
  }
  const [paths, megapixels] = [await pictures(Math.min(...counts), { megapixels: 5 }), 5];
  for (const count of counts) {
    const sources = Array.from({ length: count }, (_, i) => paths[i % paths.length]);
    rows.push(await row(`${count} frames of 5 megapixels`, sources, JOBS, rounds, megapixels));
  }
  return {
    about: `Standard grading beside a bare decode: one frame at a time by size, then ${JOBS} at once by their number; ${rounds} rounds in turn.`,
    rows,
  };
}

/**
 * @param {string} what
 * @param {readonly string[]} sources
 * @param {number} jobs
 * @param {number} rounds
 * @param {number} megapixels - of each source
 */
async function row(what, sources, jobs, rounds, megapixels) {
  const times = await inTurn(
    { bare: () => bareDecode(sources, jobs), graded: () => grade(sources, { place: 0 }, { jobs }) },
    rounds,
  );
  const columns = ratios(times.graded, sources.length);
  const perMegapixel = Number(columns["processor, ms a frame"]) / megapixels;
  return { what, ...columns, "processor, ms a megapixel": perMegapixel.toFixed(2) };
}
