/**
 * The sensor before any rendering: one filter over each pixel, codes of 14 bits.
 *
 * Green is full where the rendering saturates; red and blue filters let less light through, so under daylight these
 * channels are full later. That is the room which a raw file has over the picture made from it: the rendering first balances
 * the channels and then cuts all three at the same height.
 *
 * @typedef {object} RawPicture
 * @property {number} width
 * @property {number} height
 * @property {Uint16Array} samples - RGGB from the top left, row by row
 * @property {number} black - code without light
 * @property {number} white - code of a full pixel
 * @property {readonly number[]} neutral - what red, green and blue catch of a neutral light, green = 1
 * @property {readonly number[]} noiseProfile - variance per signal, and at black; signal 1 = full [DNG, NoiseProfile]
 */
import { bell, DARK_ELECTRONS, FULL_ELECTRONS, MIDDLE_GREY, SATURATION } from "./sensor.mjs";

/** Levels and filters are our own choice, of the usual size. */
const BLACK = 512;
const WHITE = 15_872;
const NEUTRAL = [0.5, 1, 0.625];

/** Filter over each pixel of a block of two by two. */
const RGGB = [0, 1, 1, 2];

/**
 * What a channel catches, as a share of a full pixel; above 1 it is lost.
 *
 * @param {number} light - of the channel in linear sRGB, 0.18 middle grey
 * @param {number} channel - 0 red, 1 green, 2 blue
 */
export function caughtShare(light, channel) {
  return (NEUTRAL[channel] * light) / SATURATION;
}

/**
 * Reads the sensor out.
 *
 * @param {import("../harbour-scenes/render.mjs").Scene} scene
 * @param {number} middleGrey - scene luminance that lands on middle grey, cd/m2
 * @param {number} iso - exact
 * @param {number} seed - of the grain
 * @returns {RawPicture} stored upright
 */
export function readOut({ width, height, light }, middleGrey, iso, seed) {
  const samples = new Uint16Array(width * height);
  const full = FULL_ELECTRONS / (iso / 100);
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const i = row * width + column;
      const c = RGGB[2 * (row % 2) + (column % 2)];
      const caught = full * caughtShare((light[3 * i + c] / middleGrey) * MIDDLE_GREY, c);
      const grain = Math.sqrt(caught + DARK_ELECTRONS ** 2) * bell(i, c, seed);
      const code = BLACK + Math.round(((caught + grain) / full) * (WHITE - BLACK));
      samples[i] = Math.min(WHITE, Math.max(0, code));
    }
  }
  return {
    width,
    height,
    samples,
    black: BLACK,
    white: WHITE,
    neutral: NEUTRAL,
    noiseProfile: [1 / full, (DARK_ELECTRONS / full) ** 2],
  };
}
