import { pictures } from "../pictures.mjs";
import { megabytes, startedProcess } from "../startedProcess.mjs";
import { JOBS } from "../timing.mjs";

/**
 * Peak memory of processes of their own, by how they grade and how many frames.
 *
 * @param {{ short: boolean }} how
 */
export async function measure({ short }) {
  const [megapixels, frames, many] = short ? [5, 1, 2] : [24, 12, 200];
  const paths = await pictures(frames, { megapixels });
  const modes = ["exact", "standard", "quick"];
  return {
    about: `JPEGs of ${megapixels} megapixels, ${JOBS} in work at once: the most memory the process held, in MB, with the most of each process that it grades by.`,
    rows: [
      { mode: "bare decode", ...peaks(paths, [frames, many], BARE) },
      ...modes.map((mode) => ({ mode, ...peaks(paths, [frames, many], gradeIn(mode)) })),
    ],
  };
}

const BARE = `
  import { bareDecode } from ${JSON.stringify(new URL("../timing.mjs", import.meta.url).href)};
  await bareDecode(paths);`;

/** @param {string} precision */
const gradeIn = (precision) => `
  import { gradeFrames } from ${JSON.stringify(import.meta.resolve("@tonefall/grader"))};
  for await (const _ of gradeFrames(paths, { place: 0 }, { jobs: ${JOBS}, precision: "${precision}" }));`;

/**
 * @param {readonly string[]} paths
 * @param {readonly number[]} counts
 * @param {string} script
 */
function peaks(paths, counts, script) {
  return Object.fromEntries(
    counts.map((count) => {
      const sources = Array.from({ length: count }, (_, i) => paths[i % paths.length]);
      return [`${count} frames`, peakMegabytes(sources, script)];
    }),
  );
}

/**
 * As text: the sum of all processes, and each.
 *
 * @param {readonly string[]} paths
 * @param {string} script
 */
function peakMegabytes(paths, script) {
  const whole = `
    const paths = JSON.parse(process.env.PATHS);
    ${script}
    import { children } from ${JSON.stringify(new URL("../children.mjs", import.meta.url).href)};
    process.stdout.write(JSON.stringify(children().map(({ peakMegabytes }) => peakMegabytes)));`;
  const run = startedProcess(["--input-type=module", "--eval", whole], {
    PATHS: JSON.stringify(paths),
  });
  /** @type {number[]} */
  const theirs = JSON.parse(run.stdout);
  if (theirs.length === 0 || run.peakMegabytes === null) return megabytes(run.peakMegabytes);
  const all = [run.peakMegabytes, ...theirs].map(Math.round);
  return `${all.reduce((a, b) => a + b)} (${all.join(" + ")})`;
}
