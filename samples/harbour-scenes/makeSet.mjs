import { writeFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { completeExif, exifTags } from "../camera/exif.mjs";
import { storedPicture } from "../camera/orientation.mjs";
import { develop, luminanceOf } from "../camera/sensor.mjs";
import { expose, regionTruth } from "../camera/takeFrame.mjs";
import { FRAMES } from "./frames.mjs";
import { regionPixels } from "./region.mjs";
import { VIEWS } from "./views.mjs";

/** The picture library is the grader's own: this folder is no package. */
const sharp = createRequire(new URL("../../packages/grader/package.json", import.meta.url))(
  "sharp",
);

/** Tolerance of every brief in the set, stops. */
const TOLERANCE = 1 / 3;

const QUALITY = 88;

/**
 * Writes every frame of the set and returns its truth.
 *
 * @param {URL} folder - ends in a slash
 * @param {(view: string) => Promise<import("./render.mjs").Scene>} sceneOf
 */
export async function makeSet(folder, sceneOf) {
  /** @type {Map<string, import("../camera/exposureSettings.mjs").Settings>} */
  const settings = new Map();
  const frames = [];
  for (const [index, plan] of FRAMES.entries()) {
    const view = VIEWS[plan.view];
    const scene = await sceneOf(plan.view);
    const luminance = luminanceMap(scene);
    const taken = expose(plan, luminance, scene, settings.get(plan.settingsOf ?? ""));
    settings.set(plan.file, taken.marked);

    const upright = develop(scene, taken.middleGreyCandelas, taken.exact.iso, index + 1);
    const orientation = plan.orientation ?? 1;
    const { pixels, width, height } = storedPicture(
      upright,
      scene.width,
      scene.height,
      orientation,
    );
    const subjectArea = storedRectangle(view.regions[plan.subject], scene, orientation);
    const programme = plan.compensation === undefined ? "manual" : "aperture-priority";
    const jpeg = await sharp(pixels, { raw: { width, height, channels: 3 } })
      .withExif(
        exifTags({
          marked: taken.marked,
          programme,
          bracketed: plan.bracket !== undefined,
          compensationThirds: Math.round(3 * (plan.compensation ?? 0)),
          pattern: plan.pattern,
          readingCandelas: taken.readingCandelas,
          focalLengthMillimetres: view.focalLengthMillimetres,
          takenAt: plan.takenAt,
        }),
      )
      .jpeg({ quality: QUALITY, chromaSubsampling: "4:4:4" })
      .toBuffer();
    const file = `${plan.file}.jpg`;
    await writeFile(new URL(file, folder), completeExif(jpeg, orientation, subjectArea));

    const regions = Object.fromEntries(
      Object.entries(view.regions).map(([name, region]) => [
        name,
        regionTruth(region, scene, taken.middleGreyCandelas),
      ]),
    );
    const fall = regions[plan.subject].renderedStops;
    const [from, to] = plan.wanted;
    const errorStops = fall < from ? fall - from : fall > to ? fall - to : 0;
    frames.push({
      file,
      view: plan.view,
      shows: plan.shows,
      width,
      height,
      orientation,
      exposure: {
        marked: taken.marked,
        exact: taken.exact,
        givenExposureStops: taken.givenExposureStops,
        programme,
        compensationStops: plan.compensation ?? 0,
      },
      metering: {
        pattern: plan.pattern,
        readingCandelasPerSquareMetre: taken.readingCandelas,
        readingStops: taken.readingStops,
        wishedShutterSeconds: taken.wishedSeconds,
        roundingStops: taken.roundingStops,
      },
      middleGreyCandelasPerSquareMetre: taken.middleGreyCandelas,
      regions,
      subject: plan.subject,
      subjectArea,
      placement: { from, to },
      toleranceStops: TOLERANCE,
      errorStops,
      expectedVerdict:
        Math.abs(errorStops) <= TOLERANCE ? "within" : errorStops > 0 ? "over" : "under",
    });
  }
  return rounded({
    basis: "rendered",
    middleGrey: 0.18,
    saturationStops: Math.log2(7.8),
    linearToStops: 1.5,
    frames,
  });
}

/** @param {import("./render.mjs").Scene} scene */
function luminanceMap({ width, height, light }) {
  return Float32Array.from({ length: width * height }, (_, i) =>
    luminanceOf(light[3 * i], light[3 * i + 1], light[3 * i + 2]),
  );
}

/**
 * The rectangle around a region in stored pixels, as Exif SubjectArea has it: centre x, centre y, width, height.
 *
 * @param {string} region
 * @param {import("./render.mjs").Scene} scene - upright
 * @param {number} orientation
 * @returns {[number, number, number, number]}
 */
function storedRectangle(region, { width, height }, orientation) {
  const pixels = regionPixels(region, width, height);
  let [left, right, top, bottom] = [width, 0, height, 0];
  for (const pixel of pixels) {
    const column = pixel % width;
    const row = Math.floor(pixel / width);
    left = Math.min(left, column);
    right = Math.max(right, column + 1);
    top = Math.min(top, row);
    bottom = Math.max(bottom, row + 1);
  }
  const x = Math.round((left + right) / 2);
  const y = Math.round((top + bottom) / 2);
  const across = right - left;
  const down = bottom - top;
  if (orientation === 6) return [y, width - x, down, across];
  if (orientation === 8) return [height - y, x, down, across];
  return [x, y, across, down];
}

/**
 * Every number to six significant figures, so that the file reads well.
 *
 * @template T
 * @param {T} value
 * @returns {T}
 */
function rounded(value) {
  return JSON.parse(
    JSON.stringify(value, (_, item) =>
      typeof item === "number" ? Number(item.toPrecision(6)) : item,
    ),
  );
}
