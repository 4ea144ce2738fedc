import { writeFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { dngFile } from "../camera/dng.mjs";
import { completeExif, exifTags } from "../camera/exif.mjs";
import { storedPicture } from "../camera/orientation.mjs";
import { readOut } from "../camera/rawSensor.mjs";
import { develop, luminanceOf, MIDDLE_GREY, SATURATION } from "../camera/sensor.mjs";
import { expose, regionTruth, renderedClipping, sensorTruth } from "../camera/takeFrame.mjs";
import { regionPixels } from "./region.mjs";
import { VIEWS } from "./views.mjs";

/** The picture library is the grader's own: this folder is no package. */
const sharp = createRequire(new URL("../../packages/grader/package.json", import.meta.url))(
  "sharp",
);

/** Tolerance of a brief for the picture, and for the sensor, where middle grey itself is less sure; stops. */
const TOLERANCE = 1 / 3;
const SENSOR_TOLERANCE = 1 / 2;

const QUALITY = 88;

/**
 * Takes one frame, writes its file (or two, where the raw is kept) and returns the truth of each.
 *
 * @param {URL} folder - ends in a slash
 * @param {import("./frames.mjs").FramePlan} plan
 * @param {import("./render.mjs").Scene} scene
 * @param {import("../camera/exposureSettings.mjs").Settings | undefined} kept - settings of the frame that it repeats
 * @param {number} seed - of the grain
 */
export async function makeFrame(folder, plan, scene, kept, seed) {
  const view = VIEWS[plan.view];
  const taken = expose(plan, luminanceMap(scene), scene, kept);
  const middleGrey = taken.middleGreyCandelas;

  const upright = develop(scene, middleGrey, taken.exact.iso, seed);
  const orientation = plan.orientation ?? 1;
  const { pixels, width, height } = storedPicture(upright, scene.width, scene.height, orientation);
  const subjectArea = storedRectangle(view.regions[plan.subject], scene, orientation);
  const programme = plan.compensation === undefined ? "manual" : "aperture-priority";
  const exif = exifTags({
    marked: taken.marked,
    programme,
    bracketed: plan.bracket !== undefined,
    compensationThirds: Math.round(3 * (plan.compensation ?? 0)),
    pattern: plan.pattern,
    readingCandelas: taken.readingCandelas,
    focalLengthMillimetres: view.focalLengthMillimetres,
    takenAt: plan.takenAt,
  });
  const jpeg = await sharp(pixels, { raw: { width, height, channels: 3 } })
    .withExif(exif)
    .jpeg({ quality: QUALITY, chromaSubsampling: "4:4:4" })
    .toBuffer();
  const file = `${plan.file}.jpg`;
  await writeFile(new URL(file, folder), completeExif(jpeg, orientation, subjectArea));

  const shot = {
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
    middleGreyCandelasPerSquareMetre: middleGrey,
  };
  const rendered = mapRegions(view, (region) => ({
    ...regionTruth(region, scene, middleGrey),
    ...(plan.raw && { clippedShares: renderedClipping(region, scene, middleGrey) }),
  }));
  const picture = {
    file,
    ...shot,
    regions: rendered,
    subject: plan.subject,
    subjectArea,
    ...verdictOn(rendered[plan.subject].renderedStops, plan.wanted, TOLERANCE),
  };
  if (!plan.raw) return [picture];

  const sensor = readOut(scene, middleGrey, taken.exact.iso, seed);
  const raw = `${plan.file}.dng`;
  await writeFile(new URL(raw, folder), dngFile(sensor, exif, subjectArea));
  const onSensor = mapRegions(view, (region) => sensorTruth(region, scene, middleGrey));
  return [
    {
      file: raw,
      basis: "scene",
      ...shot,
      sensor: {
        filters: "RGGB",
        black: sensor.black,
        white: sensor.white,
        neutral: sensor.neutral,
        middleGreyShare: MIDDLE_GREY / SATURATION,
      },
      regions: onSensor,
      subject: plan.subject,
      subjectArea,
      ...verdictOn(onSensor[plan.subject].sceneStops, plan.wanted, SENSOR_TOLERANCE),
    },
    picture,
  ];
}

/**
 * @template T
 * @param {import("./views.mjs").NamedView} view
 * @param {(region: string) => T} truthOf
 * @returns {Record<string, T>}
 */
function mapRegions(view, truthOf) {
  return Object.fromEntries(
    Object.entries(view.regions).map(([name, region]) => [name, truthOf(region)]),
  );
}

/**
 * @param {number} fall - stops
 * @param {readonly [number, number]} wanted - stops
 * @param {number} toleranceStops
 */
function verdictOn(fall, [from, to], toleranceStops) {
  const errorStops = fall < from ? fall - from : fall > to ? fall - to : 0;
  const missed = errorStops > 0 ? "over" : "under";
  return {
    placement: { from, to },
    toleranceStops,
    errorStops,
    expectedVerdict: Math.abs(errorStops) <= toleranceStops ? "within" : missed,
  };
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
