import { readdirSync } from "node:fs";
import { join } from "node:path";
import { gradeFrame } from "@tonefall/grader";
import { median, quantile, SRGB } from "@tonefall/tone-core";
import sharp from "sharp";
import { corpus } from "../../../../test/outside.mjs";
import { pictures } from "../pictures.mjs";

/** Smaller pictures are never sampled. */
const LEAST_PIXELS = 4e6;

/** Exposures the photographs are shown at, by moving their linear light, stops. */
const EXPOSURES = [-3, -1.5, 0, 1.5];

/** Sides of boxes as shares of the picture's, at the middle and at two corners; and the whole. */
const SIDES = [0.1, 0.3, 0.7];
const BOXES = SIDES.flatMap((side) =>
  [0, (1 - side) / 2, 1 - side].map((at) => `box:${at},${at},${side},${side}`),
);

/** @typedef {import("@tonefall/grader").FrameResult} Row */

/** @typedef {Record<string, [off: number, stated: number]>} Errors */

/**
 * How far standard and quick are from exact, beside the error that each row states.
 *
 * @param {{ short: boolean }} how
 */
export async function measure({ short }) {
  const photographs = await largePhotographs();
  const [paths, exposures, regions] = short
    ? [await pictures(1, { megapixels: 5 }), [0], ["whole", BOXES[4]]]
    : [photographs ?? (await pictures(4)), EXPOSURES, ["whole", ...BOXES]];
  /** @type {Record<"standard" | "quick", Errors[]>} */
  const found = { standard: [], quick: [] };
  for (const path of paths) {
    for (const stops of exposures) {
      const bytes = await shown(path, stops);
      for (const region of regions) {
        /** @param {"exact" | "standard" | "quick"} precision */
        const graded = (precision) => gradeFrame(bytes, { region, place: 0 }, { precision });
        const exact = await graded("exact");
        // Where more than half is black there is no tone to compare.
        if (exact.fall?.bound === "at most" || exact.failure) continue;
        for (const precision of /** @type {const} */ (["standard", "quick"])) {
          const row = await graded(precision);
          const { sampling } = row;
          if (sampling?.precision === precision)
            found[precision].push(errors(row, exact, sampling));
        }
      }
    }
  }
  const what = photographs && !short ? "photographs" : "enlarged samples";
  return {
    about: `${paths.length} ${what} at ${exposures.length} exposures, ${regions.length} regions each, those that are sampled: error against exact, and how many keep to what their row states.`,
    rows: Object.entries(found).flatMap(([precision, all]) => lines(precision, all)),
  };
}

/** Camera JPEGs of the corpus that are large enough; null where there is no corpus. */
async function largePhotographs() {
  const { path: home } = corpus;
  if (!home) return null;
  const folders = ["metadata", "color", "chart"].map((name) => join(home, name));
  const large = [];
  for (const folder of folders) {
    for (const name of readdirSync(folder).filter((file) => /\.jpe?g$/i.test(file))) {
      const path = join(folder, name);
      const { width, height, channels } = await sharp(path)
        .metadata()
        .catch(() => ({ width: 0, height: 0, channels: 0 }));
      if (width * height >= LEAST_PIXELS && channels === 3) large.push(path);
    }
  }
  return large;
}

/**
 * A picture as if it had been given so many stops more, as a JPEG of high quality.
 *
 * @param {string} path
 * @param {number} stops
 */
async function shown(path, stops) {
  const { data, info } = await sharp(path, { failOn: "none", ignoreIcc: true })
    .raw()
    .toBuffer({ resolveWithObject: true });
  const moved = Uint8Array.from({ length: 256 }, (_, code) =>
    Math.round(255 * SRGB.encode(Math.min(1, SRGB.linearise(code / 255) * 2 ** stops))),
  );
  for (let i = 0; i < data.length; i++) data[i] = moved[data[i]];
  return sharp(data, { raw: info }).jpeg({ quality: 95 }).toBuffer();
}

/**
 * @param {Row} row - a sampled one
 * @param {Row} exact - of the same region
 * @param {NonNullable<Row["sampling"]>} sampling - of the first
 * @returns {Errors}
 */
function errors(row, exact, { error }) {
  const { fall, clipped, crushed } = measured(row);
  const truth = measured(exact);
  /** @param {"stops" | "median" | "p5" | "p95"} figure */
  const off = (figure) => Math.abs(fall[figure] - truth.fall[figure]);
  return {
    mean: [off("stops"), error.mean],
    median: [off("median"), error.median],
    percentiles: [Math.max(off("p5"), off("p95")), error.percentiles],
    "clipped, points": [100 * Math.abs(clipped.share - truth.clipped.share), 100 * error.share],
    "black, points": [100 * Math.abs(crushed.share - truth.crushed.share), 100 * error.share],
  };
}

/**
 * A row that has figures to compare.
 *
 * @param {Row} row
 */
function measured({ file, fall, clipped, crushed }) {
  if (!fall || !clipped || !crushed) throw new Error(`${file} was not measured`);
  return { fall, clipped, crushed };
}

/**
 * @param {string} precision
 * @param {readonly Errors[]} all
 */
function lines(precision, all) {
  if (all.length === 0) return [];
  return Object.keys(all[0]).map((figure) => {
    const offs = all.map((one) => one[figure][0]);
    const kept = all.filter((one) => one[figure][0] <= one[figure][1] + 1e-12).length;
    return {
      precision,
      figure,
      regions: all.length,
      "error, median": median(offs).toFixed(5),
      "error, 99 of 100": quantile(offs, 0.99).toFixed(4),
      "error, most": Math.max(...offs).toFixed(4),
      "as stated": `${((100 * kept) / all.length).toFixed(1)} %`,
    };
  });
}
