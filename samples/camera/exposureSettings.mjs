/**
 * The steps that a camera's dials have, and what they let in.
 *
 * A marked value stands for an exact one: f/5.6 is 2^2.5, 1/60 s is 1/64. The model exposes by the exact values and
 * writes the marked ones into the picture, as cameras do.
 *
 * @typedef {object} Settings
 * @property {string} aperture - marked, "f/5.6"
 * @property {string} shutter - marked, "1/60"
 * @property {string} iso - marked, "100"
 *
 * @typedef {object} ExactSettings
 * @property {number} aperture - f-number
 * @property {number} shutterSeconds
 * @property {number} iso
 */

/** Third stops from f/1 on: index k is 2^(k/6). */
const APERTURES =
  "1 1.1 1.2 1.4 1.6 1.8 2 2.2 2.5 2.8 3.2 3.5 4 4.5 5 5.6 6.3 7.1 8 9 10 11 13 14 16 18 20 22".split(
    " ",
  );

/** Third stops from 1/8000 s on: index k is 2^(k/3 - 13) s. */
const SHUTTERS = (
  "1/8000 1/6400 1/5000 1/4000 1/3200 1/2500 1/2000 1/1600 1/1250 1/1000 1/800 1/640 1/500 1/400 1/320 1/250 1/200 " +
  "1/160 1/125 1/100 1/80 1/60 1/50 1/40 1/30 1/25 1/20 1/15 1/13 1/10 1/8 1/6 1/5 1/4 0.3 0.4 0.5 0.6 0.8 1 1.3 1.6 2"
).split(" ");

/** Third stops from ISO 100 on: index k is 100 x 2^(k/3). */
const ISOS = "100 125 160 200 250 320 400 500 640 800 1000 1250 1600 2000 2500 3200".split(" ");

/**
 * What marked settings stand for.
 *
 * @param {Settings} marked - each on its list of third stops
 * @returns {ExactSettings}
 * @throws {RangeError} when a setting is on no dial
 */
export function exactSettings({ aperture, shutter, iso }) {
  return {
    aperture: 2 ** (indexOn(APERTURES, aperture.replace("f/", ""), "aperture") / 6),
    shutterSeconds: 2 ** (indexOn(SHUTTERS, shutter, "shutter") / 3 - 13),
    iso: 100 * 2 ** (indexOn(ISOS, iso, "ISO") / 3),
  };
}

/**
 * The shutter step nearest to a wish.
 *
 * @param {number} seconds
 * @returns {string} marked
 */
export function nearestShutter(seconds) {
  const index = Math.round(3 * (Math.log2(seconds) + 13));
  if (index < 0 || index >= SHUTTERS.length) {
    throw new RangeError(`Expected 1/8000 s to 2 s for shutter but received ${seconds} s`);
  }
  return SHUTTERS[index];
}

/**
 * What the settings let in, in stops; more is brighter.
 *
 * @param {ExactSettings} settings
 */
export function givenExposure({ aperture, shutterSeconds, iso }) {
  return Math.log2(shutterSeconds / aperture ** 2) + Math.log2(iso / 100);
}

/**
 * @param {readonly string[]} list
 * @param {string} marked
 * @param {string} name
 */
function indexOn(list, marked, name) {
  const index = list.indexOf(marked);
  if (index < 0)
    throw new RangeError(`Expected a marked third stop for ${name} but received "${marked}"`);
  return index;
}
