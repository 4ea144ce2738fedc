import { pictures } from "../pictures.mjs";
import { bareDecode, grade, inTurn, JOBS, ratios } from "../timing.mjs";

/** Grading in its modes beside sharp's bare decode of the same files, at the same concurrency. */
export async function measure({ short }) {
  const [frames, megapixels, rounds] = short ? [2, 5, 1] : [12, 24, 5];
  const plain = await pictures(frames, { megapixels });
  const profiled = await pictures(frames, { megapixels, profile: true });
  const brief = { place: 0 };
  const options = { jobs: JOBS };
  const works = {
    "bare decode": () => bareDecode(plain),
    exact: () => grade(plain, brief, { ...options, precision: "exact" }),
    standard: () => grade(plain, brief, options),
    quick: () => grade(plain, brief, { ...options, precision: "quick" }),
    "spot, standard": () => grade(plain, { ...brief, region: "spot" }, options),
    "embedded profile, standard": () => grade(profiled, brief, options),
  };
  const times = await inTurn(works, rounds);
  return {
    about: `${frames} JPEGs of ${megapixels} megapixels, ${JOBS} in work at once, ${rounds} rounds in turn: median (least to most).`,
    rows: Object.keys(works).map((mode) => ({ mode, ...ratios(times[mode], frames) })),
  };
}
