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
import { luminanceOf, MIDDLE_GREY, renderTone, SATURATION } from "./sensor.mjs";

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
