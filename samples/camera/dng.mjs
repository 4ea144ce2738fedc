/**
 * A raw file: the sensor's own values, what they mean, and the same Exif that the rendered picture carries.
 *
 * One directory and one strip of uncompressed 16-bit samples [DNG; TIFF 6.0].
 *
 * @typedef {"byte" | "ascii" | "short" | "long" | "rational" | "srational" | "undefined" | "double"} Kind
 * @typedef {readonly [tag: number, kind: Kind, values: readonly number[] | string]} Entry - a rational is two values
 */

/** @typedef {"writeUInt8" | "writeUInt16LE" | "writeUInt32LE" | "writeInt32LE" | "writeDoubleLE"} UnitWriter */

/** Type codes of TIFF, bytes of a unit, and how a unit is written. @type {Record<Kind, [number, number, UnitWriter]>} */
const KINDS = {
  byte: [1, 1, "writeUInt8"],
  ascii: [2, 1, "writeUInt8"],
  short: [3, 2, "writeUInt16LE"],
  long: [4, 4, "writeUInt32LE"],
  rational: [5, 4, "writeUInt32LE"],
  undefined: [7, 1, "writeUInt8"],
  srational: [10, 4, "writeInt32LE"],
  double: [12, 8, "writeDoubleLE"],
};

/** What Exif says of the exposure; how a picture is rendered is no matter of a raw file. @type {Record<string, [number, Kind]>} */
const EXPOSURE_TAGS = {
  ExposureTime: [33434, "rational"],
  FNumber: [33437, "rational"],
  ExposureProgram: [34850, "short"],
  ISOSpeedRatings: [34855, "short"],
  SensitivityType: [34864, "short"],
  DateTimeOriginal: [36867, "ascii"],
  BrightnessValue: [37379, "srational"],
  ExposureBiasValue: [37380, "srational"],
  MeteringMode: [37383, "short"],
  Flash: [37385, "short"],
  FocalLength: [37386, "rational"],
  ExposureMode: [41986, "short"],
  FocalLengthIn35mmFilm: [41989, "short"],
};

/** Linear sRGB from XYZ, D65 [IEC 61966-2-1], row by row. */
const SRGB_FROM_XYZ = [
  [3.2404542, -1.5371385, -0.4985314],
  [-0.969266, 1.8760108, 0.041556],
  [0.0556434, -0.2040259, 1.0572252],
];

/** Exif LightSource. */
const D65 = 21;

/** Where the first directory starts: behind the header. */
const FIRST = 8;

/**
 * @param {import("./rawSensor.mjs").RawPicture} picture
 * @param {import("sharp").Exif} exif - as {@link import("./exif.mjs").exifTags} gives it
 * @param {readonly number[]} subjectArea - centre x, centre y, width, height, pixels
 * @returns {Buffer}
 */
export function dngFile(picture, { IFD0 = {}, IFD2 = {} }, subjectArea) {
  const { width, height, samples, black, white, neutral } = picture;
  const model = `${IFD0.Make} ${IFD0.Model}`;
  /** @type {(exifAt: number, pixelsAt: number) => Buffer} */
  const main = (exifAt, pixelsAt) =>
    directory(FIRST, [
      [254, "long", [0]],
      [256, "long", [width]],
      [257, "long", [height]],
      [258, "short", [16]],
      [259, "short", [1]],
      [262, "short", [32803]],
      [271, "ascii", `${IFD0.Make}`],
      [272, "ascii", `${IFD0.Model}`],
      [273, "long", [pixelsAt]],
      [274, "short", [1]],
      [277, "short", [1]],
      [278, "long", [height]],
      [279, "long", [samples.byteLength]],
      [284, "short", [1]],
      [306, "ascii", `${IFD0.DateTime}`],
      [33421, "short", [2, 2]],
      [33422, "byte", [0, 1, 1, 2]],
      [34665, "long", [exifAt]],
      [50706, "byte", [1, 4, 0, 0]],
      [50707, "byte", [1, 1, 0, 0]],
      [50708, "ascii", model],
      [50714, "short", [black]],
      [50717, "short", [white]],
      // The camera's red, green and blue are those of linear sRGB, each weakened by its filter.
      [
        50721,
        "srational",
        SRGB_FROM_XYZ.flatMap((row, c) => row.flatMap((v) => millionths(neutral[c] * v))),
      ],
      [50728, "rational", neutral.flatMap(millionths)],
      [50778, "short", [D65]],
      [51041, "double", picture.noiseProfile],
    ]);
  const exifAt = FIRST + main(0, 0).length;
  const exif = directory(exifAt, exifEntries(IFD2, subjectArea));
  const header = Buffer.from([0x49, 0x49, 42, 0, FIRST, 0, 0, 0]);
  const pixels = Buffer.alloc(samples.byteLength);
  for (const [i, sample] of samples.entries()) pixels.writeUInt16LE(sample, 2 * i);
  return Buffer.concat([header, main(exifAt, exifAt + exif.length), exif, pixels]);
}

/**
 * @param {Record<string, string>} facts
 * @param {readonly number[]} subjectArea
 * @returns {Entry[]}
 */
function exifEntries(facts, subjectArea) {
  const exposure = Object.entries(EXPOSURE_TAGS).map(
    ([name, [tag, kind]]) =>
      /** @type {Entry} */ ([
        tag,
        kind,
        kind === "ascii" ? facts[name] : facts[name].split("/").map(Number),
      ]),
  );
  return [...exposure, [36864, "undefined", "0230"], [37396, "short", subjectArea]];
}

/**
 * A directory, its entries in the order of their tags, and behind it the values that fill more than four bytes.
 *
 * @param {number} start - where it will stand in the file
 * @param {readonly Entry[]} entries
 * @returns {Buffer}
 */
function directory(start, entries) {
  const head = Buffer.alloc(2 + 12 * entries.length + 4);
  const parts = [head];
  let end = start + head.length;
  head.writeUInt16LE(entries.length);
  for (const [i, [tag, kind, values]] of entries.toSorted(([a], [b]) => a - b).entries()) {
    const at = 2 + 12 * i;
    const [code] = KINDS[kind];
    const data = encode(kind, values);
    const units = data.length / KINDS[kind][1];
    head.writeUInt16LE(tag, at);
    head.writeUInt16LE(code, at + 2);
    head.writeUInt32LE(kind.endsWith("rational") ? units / 2 : units, at + 4);
    if (data.length <= 4) {
      data.copy(head, at + 8);
    } else {
      // Values start on even bytes.
      const padded = Buffer.concat([data, Buffer.alloc(data.length % 2)]);
      head.writeUInt32LE(end, at + 8);
      parts.push(padded);
      end += padded.length;
    }
  }
  return Buffer.concat(parts);
}

/**
 * @param {Kind} kind
 * @param {readonly number[] | string} values
 * @returns {Buffer}
 */
function encode(kind, values) {
  if (typeof values === "string") return Buffer.from(kind === "ascii" ? `${values}\0` : values);
  const [, size, write] = KINDS[kind];
  const data = Buffer.alloc(size * values.length);
  for (const [i, value] of values.entries()) data[write](value, size * i);
  return data;
}

/** @param {number} value */
function millionths(value) {
  return [Math.round(1e6 * value), 1e6];
}
