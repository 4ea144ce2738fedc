import { pictures } from "../pictures.mjs";
import { bareDecode, bareDecodeKeepingMemory, grade, inTurn, JOBS, ratios } from "../timing.mjs";

/**
 * Grading in its modes beside sharp's bare decode of the same files, at the same concurrency.
 *
 * @param {{ short: boolean }} how
 */
export async function measure({ short }) {
  const [files, frames, megapixels, rounds] = short ? [2, 2, 5, 1] : [12, 24, 24, 3];
  /** @param {readonly string[]} paths */
  const many = (paths) => Array.from({ length: frames }, (_, i) => paths[i % files]);
  const plain = many(await pictures(files, { megapixels }));
  const profiled = many(await pictures(files, { megapixels, profile: true }));
  const brief = { place: 0 };
  const options = { jobs: JOBS };
  /** @type {import("@tonefall/grader").RunOptions} */
  const exact = { ...options, precision: "exact" };
  const works = {
    "bare decode": () => bareDecode(plain),
    exact: () => grade(plain, brief, exact),
    standard: () => grade(plain, brief, options),
    quick: () => grade(plain, brief, { jobs: JOBS, precision: "quick" }),
    "spot, standard": () => grade(plain, { ...brief, region: "spot" }, options),
    "embedded profile, standard": () => grade(profiled, brief, options),
    "bare decode, memory kept": () => bareDecodeKeepingMemory(plain),
    "exact, in one process": () => grade(plain, brief, { ...exact, processes: false }),
    "standard, in one process": () => grade(plain, brief, { ...options, processes: false }),
  };
  const times = await inTurn(works, rounds);
  return {
    about: `${frames} JPEGs of ${megapixels} megapixels, ${JOBS} in work at once, the start of processes included, ${rounds} rounds in turn: median (least to most).`,
    rows: Object.keys(works).map((mode) => ({ mode, ...ratios(times[mode], frames) })),
  };
}
