/**
 * One press of the button: meter, settings, and what each named part of the picture comes to.
 *
 * @typedef {import("../harbour-scenes/render.mjs").Scene} Scene
 * @typedef {import("../harbour-scenes/frames.mjs").FramePlan} FramePlan
 * @typedef {import("./exposureSettings.mjs").Settings} Settings
 */
import { regionPixels } from "../harbour-scenes/region.mjs";
import { exactSettings, givenExposure, nearestShutter } from "./exposureSettings.mjs";
import { meterReading, middleGreyLuminance, wantedSeconds } from "./meter.mjs";
import { caughtShare } from "./rawSensor.mjs";
import {
  displayCode,
  luminanceOf,
  MIDDLE_GREY,
  renderTone,
  SATURATION,
  showRendered,
} from "./sensor.mjs";

/**
 * The settings of a frame, and the truth of its metering.
 *
 * @param {FramePlan} plan
 * @param {Float32Array} luminance - cd/m2 per pixel
 * @param {Scene} scene
 * @param {Settings | undefined} kept - settings of the frame that it repeats
 */
export function expose(plan, luminance, { width, height }, kept) {
  const readingCandelas = meterReading(plan.pattern, luminance, width, height);
  const dials = exactSettings({ aperture: plan.aperture, shutter: "1", iso: plan.iso });
  const offset = plan.compensation ?? plan.needle ?? 0;
  const wished = kept ? null : wantedSeconds(readingCandelas, dials.aperture, dials.iso, offset);
  const marked = kept ?? {
    aperture: plan.aperture,
    shutter: nearestShutter(/** @type {number} */ (wished)),
    iso: plan.iso,
  };
  const exact = exactSettings(marked);
  const middleGrey = middleGreyLuminance(exact);
  return {
    marked,
    exact,
    givenExposureStops: givenExposure(exact),
    middleGreyCandelas: middleGrey,
    readingCandelas,
    readingStops: Math.log2(readingCandelas / middleGrey),
    wishedSeconds: wished,
    roundingStops: wished === null ? null : Math.log2(exact.shutterSeconds / wished),
  };
}

/**
 * What a region of the scene comes to in the picture, before grain.
 *
 * @param {string} region - as in a brief
 * @param {Scene} scene
 * @param {number} middleGrey - cd/m2
 */
export function regionTruth(region, { width, height, light }, middleGrey) {
  const pixels = regionPixels(region, width, height);
  let scene = 0;
  let rendered = 0;
  let full = 0;
  for (const pixel of pixels) {
    const channels = [0, 1, 2].map((c) => (light[3 * pixel + c] / middleGrey) * MIDDLE_GREY);
    scene += luminanceOf(channels[0], channels[1], channels[2]);
    const caught = channels.map((value) => Math.min(SATURATION, value));
    rendered += renderTone(luminanceOf(caught[0], caught[1], caught[2]));
    if (Math.max(...channels) >= SATURATION) full++;
  }
  const sceneLuminance = scene / pixels.length;
  const renderedLuminance = rendered / pixels.length;
  return {
    region,
    sceneStops: Math.log2(sceneLuminance / MIDDLE_GREY),
    renderedLuminance,
    renderedStops: Math.log2(renderedLuminance / MIDDLE_GREY),
    saturatedShare: full / pixels.length,
  };
}

/**
 * What a region of the scene comes to on the sensor, before grain.
 *
 * @param {string} region - as in a brief
 * @param {Scene} scene
 * @param {number} middleGrey - cd/m2
 */
export function sensorTruth(region, scene, middleGrey) {
  return {
    region,
    sceneStops: regionTruth(region, scene, middleGrey).sceneStops,
    clippedShares: clippedShares(region, scene, middleGrey, (channels) =>
      channels.map((light, c) => caughtShare(light, c) >= 1),
    ),
  };
}

/**
 * Shares of a region that the picture shows at the last code of a channel, before grain.
 *
 * @param {string} region - as in a brief
 * @param {Scene} scene
 * @param {number} middleGrey - cd/m2
 */
export function renderedClipping(region, scene, middleGrey) {
  return clippedShares(region, scene, middleGrey, (channels) => {
    const shown = channels.map((light) => Math.min(SATURATION, light));
    showRendered(shown);
    return shown.map((value) => displayCode(value) === 255);
  });
}

/**
 * @param {string} region
 * @param {Scene} scene
 * @param {number} middleGrey
 * @param {(channels: number[]) => boolean[]} clips - per channel, from relative light
 */
function clippedShares(region, { width, height, light }, middleGrey, clips) {
  const pixels = regionPixels(region, width, height);
  const counts = [0, 0, 0];
  for (const pixel of pixels) {
    const channels = [0, 1, 2].map((c) => (light[3 * pixel + c] / middleGrey) * MIDDLE_GREY);
    for (const [c, clipped] of clips(channels).entries()) if (clipped) counts[c]++;
  }
  const [red, green, blue] = counts.map((count) => count / pixels.length);
  return { red, green, blue };
}
