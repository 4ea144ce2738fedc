/**
 * The camera's reflected-light meter: how it weighs the frame, and the exposure that it asks for.
 *
 * @typedef {"spot" | "partial" | "centre-weighted" | "average"} MeteringPattern
 */

/** Reflected-light calibration constant, cd/m2 [ISO 2720: 10.6 to 13.4]. */
export const METER_CONSTANT = 12.5;

/** Shares of the frame's area [common practice: makers print 1.5 to 4 % and 6 to 15 %]. */
const DISC_SHARE = { spot: 0.03, partial: 0.085 };

/** Centre-weighted: three quarters of the weight on a disc of 12 mm on a 36 x 24 mm frame [common practice]. */
const CENTRE = { weight: 0.75, share: (Math.PI * 6 ** 2) / (36 * 24) };

/**
 * The luminance that a metering pattern reads.
 *
 * @param {MeteringPattern} pattern
 * @param {Float32Array} luminance - cd/m2 per pixel, before sensor and tone rendering
 * @param {number} width - pixels
 * @param {number} height - pixels
 * @returns {number} cd/m2
 */
export function meterReading(pattern, luminance, width, height) {
  const whole = discMean(luminance, width, height, Number.POSITIVE_INFINITY);
  if (pattern === "average") return whole.inside;
  if (pattern === "centre-weighted") {
    const { inside, outside } = discMean(luminance, width, height, CENTRE.share);
    return CENTRE.weight * inside + (1 - CENTRE.weight) * outside;
  }
  return discMean(luminance, width, height, DISC_SHARE[pattern]).inside;
}

/**
 * The luminance that settings render as middle grey: L = K N2 / (t S).
 *
 * @param {import("./exposureSettings.mjs").ExactSettings} settings
 * @returns {number} cd/m2
 */
export function middleGreyLuminance({ aperture, shutterSeconds, iso }) {
  return (METER_CONSTANT * aperture ** 2) / (shutterSeconds * iso);
}

/**
 * The time that renders a luminance so many stops from middle grey.
 *
 * @param {number} luminance - cd/m2
 * @param {number} aperture - exact f-number
 * @param {number} iso - exact
 * @param {number} compensation - stops
 * @returns {number} seconds
 */
export function wantedSeconds(luminance, aperture, iso, compensation) {
  return ((METER_CONSTANT * aperture ** 2) / (luminance * iso)) * 2 ** compensation;
}

/**
 * Means within and without a central disc of a share of the frame's area.
 *
 * @param {Float32Array} luminance
 * @param {number} width
 * @param {number} height
 * @param {number} share
 */
function discMean(luminance, width, height, share) {
  const reach = (share * width * height) / Math.PI;
  const sums = [0, 0];
  const counts = [0, 0];
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const apart = (column + 0.5 - width / 2) ** 2 + (row + 0.5 - height / 2) ** 2;
      const side = apart <= reach ? 0 : 1;
      sums[side] += luminance[row * width + column];
      counts[side]++;
    }
  }
  return { inside: sums[0] / counts[0], outside: sums[1] / Math.max(1, counts[1]) };
}
