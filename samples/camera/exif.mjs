/**
 * What the camera writes about a frame.
 *
 * @typedef {object} ExifFacts
 * @property {import("./exposureSettings.mjs").Settings} marked
 * @property {"manual" | "aperture-priority"} programme
 * @property {boolean} bracketed
 * @property {number} compensationThirds - thirds of a stop
 * @property {import("./meter.mjs").MeteringPattern} pattern
 * @property {number} readingCandelas - what the meter read, cd/m2
 * @property {number} focalLengthMillimetres
 * @property {string} takenAt - "2025:06:14 10:00:00"
 */
import { METER_CONSTANT } from "./meter.mjs";

/** Exif MeteringMode, ExposureProgram [CIPA DC-008]. */
const METERING_MODE = { average: 1, "centre-weighted": 2, spot: 3, partial: 6 };
const PROGRAMME = { manual: 1, "aperture-priority": 3 };

/** Exif ExposureMode. */
const [AUTO, MANUAL, AUTO_BRACKET] = [0, 1, 2];

/** Luminance of Bv 0 for K = 12.5 and the speed scale Sv = log2(S / 3.125): 2^Bv = L x 3.125 / K. */
const BRIGHTNESS_UNIT = METER_CONSTANT / 3.125;

/**
 * The tags in the form that sharp takes: IFD0, and IFD2 for what is commonly called the Exif IFD.
 *
 * @param {ExifFacts} facts
 * @returns {import("sharp").Exif}
 */
export function exifTags(facts) {
  const mode = facts.programme === "manual" ? MANUAL : facts.bracketed ? AUTO_BRACKET : AUTO;
  const brightness = Math.log2(facts.readingCandelas / BRIGHTNESS_UNIT);
  return {
    IFD0: { Make: "Tonefall", Model: "Harbour model camera", DateTime: facts.takenAt },
    IFD2: {
      ExposureTime: tenths(facts.marked.shutter),
      FNumber: tenths(facts.marked.aperture.replace("f/", "")),
      ExposureProgram: String(PROGRAMME[facts.programme]),
      ISOSpeedRatings: facts.marked.iso,
      SensitivityType: "1",
      DateTimeOriginal: facts.takenAt,
      BrightnessValue: `${Math.round(100 * brightness)}/100`,
      ExposureBiasValue: `${facts.compensationThirds}/3`,
      MeteringMode: String(METERING_MODE[facts.pattern]),
      Flash: "16",
      FocalLength: `${facts.focalLengthMillimetres}/1`,
      FocalLengthIn35mmFilm: String(facts.focalLengthMillimetres),
      ColorSpace: "1",
      CustomRendered: "0",
      ExposureMode: String(mode),
      Contrast: "0",
      // Held open for the entry that `completeExif` fills: libexif writes it empty.
      SubjectArea: "0",
    },
  };
}

/**
 * Fills in the tags that sharp cannot write: Orientation, the Exif version, and the subject area as a rectangle.
 *
 * @param {Buffer} jpeg - as sharp wrote it, little-endian Exif in its first APP1 segment
 * @param {number} orientation - 1 to 8
 * @param {readonly number[]} subjectArea - centre x, centre y, width, height, in stored pixels
 * @returns {Buffer}
 */
export function completeExif(jpeg, orientation, subjectArea) {
  const marker = jpeg.indexOf("Exif\0\0", 0, "latin1");
  const tiff = marker + 6;
  const end = marker - 2 + jpeg.readUInt16BE(marker - 2);
  const offset = end - tiff;
  const whole = Buffer.concat([
    jpeg.subarray(0, end),
    Buffer.from(Uint16Array.from(subjectArea).buffer),
    jpeg.subarray(end),
  ]);
  whole.writeUInt16BE(end - (marker - 2) + 2 * subjectArea.length, marker - 2);

  const first = tiff + whole.readUInt32LE(tiff + 4);
  whole.writeUInt16LE(orientation, entryAt(whole, first, 0x0112) + 8);
  const exif = tiff + whole.readUInt32LE(entryAt(whole, first, 0x8769) + 8);
  whole.write("0230", entryAt(whole, exif, 0x9000) + 8, "latin1");
  const area = entryAt(whole, exif, 0x9214);
  whole.writeUInt16LE(3, area + 2);
  whole.writeUInt32LE(subjectArea.length, area + 4);
  whole.writeUInt32LE(offset, area + 8);
  return whole;
}

/**
 * @param {Buffer} bytes
 * @param {number} directory - where it starts
 * @param {number} tag
 * @returns {number} where the tag's twelve bytes start
 */
function entryAt(bytes, directory, tag) {
  const entries = bytes.readUInt16LE(directory);
  for (let at = directory + 2; at < directory + 2 + 12 * entries; at += 12) {
    if (bytes.readUInt16LE(at) === tag) return at;
  }
  throw new RangeError(`Expected tag ${tag.toString(16)} in the Exif that sharp wrote`);
}

/**
 * A marked value as a rational: "5.6" is 56/10, "0.3" is 3/10, "1/60" stays.
 *
 * @param {string} marked
 */
function tenths(marked) {
  return marked.includes("/") ? marked : `${Math.round(10 * Number(marked))}/10`;
}
