/**
 * From the light of a scene to the pixels of a picture: exposure, saturation, grain, tone rendering.
 *
 * All light here is relative: 0.18 is middle grey. The sensor saturates 78/10 above middle grey, 2.963 stops
 * [ISO 12232, saturation-based speed]. Up to 1.5 stops over middle grey the rendering is exactly linear, then a shoulder
 * carries saturation to display white. It acts on luminance, and a colour that has no room there is paled without changing
 * its luminance, so a tone's rendered luminance follows from its scene luminance alone.
 */
import { hash } from "../harbour-scenes/noise.mjs";

export const MIDDLE_GREY = 0.18;

/** Relative light at which a channel of the sensor is full. */
export const SATURATION = (MIDDLE_GREY * 78) / 10;

/** Relative light at which the shoulder begins. */
const SHOULDER = MIDDLE_GREY * 2 ** 1.5;

/** Electrons of a full pixel at ISO 100, after scaling to the small picture; and the dark noise. Our own choice, for looks. */
export const FULL_ELECTRONS = 24_000;
export const DARK_ELECTRONS = 9;

/** Relative luminance of linear sRGB. */
const [RED, GREEN, BLUE] = [0.2126, 0.7152, 0.0722];

/**
 * @param {number} red
 * @param {number} green
 * @param {number} blue
 */
export function luminanceOf(red, green, blue) {
  return RED * red + GREEN * green + BLUE * blue;
}

/**
 * The rendering: linear, then a shoulder of equal slope at its foot, level with display white at saturation.
 *
 * @param {number} light - relative luminance, 0.18 middle grey
 * @returns {number} display luminance in [0, 1]
 */
export function renderTone(light) {
  if (light <= SHOULDER) return light;
  const room = 1 - SHOULDER;
  const reach = (SATURATION - SHOULDER) / room;
  const share = Math.min(1, (light - SHOULDER) / room / reach);
  return SHOULDER + room * (1 - (1 - share) ** reach);
}

/**
 * Encodes a display value by the sRGB curve [IEC 61966-2-1].
 *
 * @param {number} linear - in [0, 1]
 * @returns {number} in [0, 1]
 */
function encodeSrgb(linear) {
  return linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;
}

/**
 * The picture that the camera gives.
 *
 * @param {import("../harbour-scenes/render.mjs").Scene} scene
 * @param {number} middleGrey - scene luminance that lands on middle grey, cd/m2
 * @param {number} iso - exact
 * @param {number} seed - of the grain
 * @returns {Buffer} upright 8-bit sRGB, three bytes per pixel
 */
export function develop({ width, height, light }, middleGrey, iso, seed) {
  const pixels = Buffer.alloc(3 * width * height);
  const scale = MIDDLE_GREY / middleGrey;
  const electrons = FULL_ELECTRONS / SATURATION / (iso / 100);
  const channels = [0, 0, 0];
  for (let i = 0; i < width * height; i++) {
    for (let c = 0; c < 3; c++) {
      const exposed = light[3 * i + c] * scale;
      const caught = exposed * electrons;
      const grain = Math.sqrt(caught + DARK_ELECTRONS ** 2) * bell(i, c, seed);
      channels[c] = Math.min(SATURATION, (caught + grain) / electrons);
    }
    showRendered(channels);
    for (let c = 0; c < 3; c++) pixels[3 * i + c] = displayCode(channels[c]);
  }
  return pixels;
}

/**
 * The 8-bit code of a display value.
 *
 * @param {number} linear - at most 1
 */
export function displayCode(linear) {
  return Math.round(255 * encodeSrgb(Math.max(0, linear)));
}

/**
 * Brings relative light to display values in place: tone by luminance, then paling where a channel has no room.
 *
 * @param {number[]} channels - linear red, green, blue
 */
export function showRendered(channels) {
  const luminance = luminanceOf(channels[0], channels[1], channels[2]);
  if (luminance <= 0) return;
  const tone = renderTone(luminance);
  const highest = (Math.max(...channels) * tone) / luminance;
  const paling = highest > 1 ? (1 - tone) / (highest - tone) : 1;
  for (let c = 0; c < 3; c++) {
    channels[c] = tone + paling * ((channels[c] * tone) / luminance - tone);
  }
}

/**
 * A number from the normal distribution, near enough for grain: four even ones added.
 *
 * @param {number} pixel
 * @param {number} channel
 * @param {number} seed
 */
export function bell(pixel, channel, seed) {
  const k = channel + 3 * seed;
  const sum = hash(pixel, k, 1) + hash(pixel, k, 2) + hash(pixel, k, 3) + hash(pixel, k, 4);
  return (sum - 2) * Math.sqrt(3);
}
