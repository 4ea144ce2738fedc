/**
 * The light over the harbour: a sun or none, a sky, and what both give on the ground.
 *
 * @typedef {import("./mesh.mjs").Vector} Vector
 *
 * @typedef {object} Light
 * @property {number} sunLux - on a face turned to the sun; 0 under cloud
 * @property {Vector} sun - direction to the sun, length 1
 * @property {number} skyLux - on open level ground
 * @property {number} blue - 0 for a grey sky, 1 for a clear one
 * @property {number} clouds - 0 none, 1 many
 * @property {number} lampCandelas - luminance of the lit window, cd/m2
 */
import { normalise } from "./mesh.mjs";
import { cloud, mix, smooth } from "./noise.mjs";

/** Sunlight and a clear sky, as linear red, green, blue of luminance 1, balanced so that the two together are neutral. */
const SUN_HUE = balanced([1.06, 0.99, 0.9]);
const SKY_HUE = balanced([0.72, 1.0, 1.42]);
const GREY_HUE = balanced([0.98, 1, 1.03]);

/** @type {Record<string, Light>} */
export const LIGHTS = {
  sun: {
    sunLux: 62_000,
    sun: normalise([-0.62, 0.62, 0.62]),
    skyLux: 15_000,
    blue: 1,
    clouds: 0.7,
    lampCandelas: 250,
  },
  overcast: {
    sunLux: 0,
    sun: normalise([-0.5, 0.8, 0.6]),
    skyLux: 9_000,
    blue: 0,
    clouds: 1,
    lampCandelas: 250,
  },
  dusk: {
    sunLux: 0,
    sun: normalise([-0.5, 0.3, 0.6]),
    skyLux: 60,
    blue: 0.9,
    clouds: 0.8,
    lampCandelas: 130,
  },
};

/** Share of the sky that clouds cover, where only their mean matters. */
const MEAN_COVER = 0.35;

/**
 * Luminance of the sky in a direction, as red, green and blue.
 *
 * @param {Light} light
 * @param {number} x
 * @param {number} y - up
 * @param {number} z
 * @param {boolean} seen - with its clouds drawn; otherwise their mean, for the light that surfaces get
 * @param {Float64Array} out - cd/m2
 */
export function skyAt(light, x, y, z, seen, out) {
  const mean = light.skyLux / Math.PI;
  const up = Math.max(0.02, y);
  // A clear sky is brightest at the horizon, a grey one overhead.
  const gradient = light.blue > 0.5 ? 1.75 - 1.15 * Math.sqrt(up) : 0.62 + 0.6 * up;
  let billow = MEAN_COVER;
  let cover = MEAN_COVER * light.clouds;
  if (seen) {
    const reach = 1 / (up + 0.12);
    billow = cloud(x * reach * 1.1 + 3, z * reach * 1.6, 4, 5) + 0.12;
    cover = light.clouds * smooth(0.05, 0.55, billow) * smooth(0.02, 0.2, y);
  }
  const bright = light.blue > 0.5 ? 1.55 : 1.18 - 0.45 * smooth(0.1, 0.7, billow);
  const hazeShare = light.blue * (1 - 0.65 * (1 - up) ** 5);
  for (let i = 0; i < 3; i++) {
    const clear = mix(GREY_HUE[i], SKY_HUE[i], hazeShare) * gradient;
    out[i] = mean * mix(clear, GREY_HUE[i] * bright, cover);
  }
}

/**
 * @param {Light} light
 * @returns {readonly number[]} hue of the sunlight
 */
export function sunHue(light) {
  return light.sunLux > 0 ? SUN_HUE : GREY_HUE;
}

/** @param {[number, number, number]} rgb @returns {[number, number, number]} */
function balanced(rgb) {
  const luminance = 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2];
  return [rgb[0] / luminance, rgb[1] / luminance, rgb[2] / luminance];
}
