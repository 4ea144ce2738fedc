import { existsSync } from "node:fs";
import { writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { bareLibRaw, unpacked } from "./bareLibRaw.mjs";
import { losslessJpeg } from "./losslessJpeg.mjs";

const BLACK = 512;
const WHITE = 16383;

/**
 * Bytes of a TIFF value, by its type: 1 byte, 2 text, 3 short, 4 long, 5 rational, 10 signed rational.
 *
 * @type {Record<number, number>}
 */
const SIZES = { 1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 10: 8 };

/** DNG's numbers of compressions. */
const COMPRESSIONS = { plain: 1, lossless: 7 };

/**
 * A DNG of 3 by 2 with noise over a slow gradient; made once, checked against what LibRaw makes of it, and kept in the
 * system's folder for temporary files.
 *
 * @param {number} megapixels
 * @param {"plain" | "lossless"} coding - uncompressed, or lossless JPEG, as cameras and converters write
 * @returns {Promise<string>} path
 */
export async function rawFile(megapixels, coding = "plain") {
  const path = join(tmpdir(), `tonefall-bench-raw-${megapixels}mp-${coding}.dng`);
  if (existsSync(path)) return path;
  const width = 4 * Math.round(Math.sqrt(megapixels * 1.5e6) / 4);
  const height = 2 * Math.round(width / 3);
  const values = samples(width, height);
  const strip =
    coding === "plain" ? Buffer.from(values.buffer) : losslessJpeg(values, width, height);
  const file = dng(width, height, COMPRESSIONS[coding], strip);
  const { data } = unpacked(await bareLibRaw(), file);
  if (Buffer.compare(Buffer.from(data.buffer), Buffer.from(values.buffer)) !== 0) {
    throw new Error(`LibRaw unpacks other samples than were put into the ${coding} DNG`);
  }
  await writeFile(path, file);
  return path;
}

/** @typedef {number | readonly number[]} TiffValue - a number, or the two of a rational */

/**
 * @param {number} width
 * @param {number} height
 * @param {number} compression
 * @param {Uint8Array} strip
 */
function dng(width, height, compression, strip) {
  const identity = [1, 0, 0, 0, 1, 0, 0, 0, 1].map((value) => [value, 1]);
  // [DNG] tag, type, values; the strip's offset is filled in once it is known.
  /** @type {[tag: number, type: number, values: readonly TiffValue[]][]} */
  const entries = [
    [254, 4, [0]],
    [256, 4, [width]],
    [257, 4, [height]],
    [258, 3, [16]],
    [259, 3, [compression]],
    [262, 3, [32803]],
    [271, 2, text("Tonefall")],
    [272, 2, text("Bench camera")],
    [273, 4, [0]],
    [277, 3, [1]],
    [278, 4, [height]],
    [279, 4, [strip.length]],
    [33421, 3, [2, 2]],
    [33422, 1, [0, 1, 1, 2]],
    // Exposure time, f-number and ISO, as every camera writes them: without, the file would be searched for them first.
    [33434, 5, [[1, 125]]],
    [33437, 5, [[8, 1]]],
    [34855, 3, [100]],
    [50706, 1, [1, 4, 0, 0]],
    [50708, 2, text("Tonefall Bench camera")],
    [50714, 3, [BLACK]],
    [50717, 3, [WHITE]],
    [50721, 10, identity],
    [
      50728,
      5,
      [
        [1, 1],
        [1, 1],
        [1, 1],
      ],
    ],
    [50778, 3, [21]],
  ];
  const valueBytes = entries.reduce(
    (sum, [, type, values]) => sum + SIZES[type] * values.length + 4,
    0,
  );
  const header = Buffer.alloc(8 + 2 + 12 * entries.length + 4 + valueBytes);
  header.write("II*\0", 0, "latin1");
  header.writeUInt32LE(8, 4);
  header.writeUInt16LE(entries.length, 8);
  let free = 8 + 2 + 12 * entries.length + 4;
  for (const [i, [tag, type, values]] of entries.entries()) {
    const at = 10 + 12 * i;
    header.writeUInt16LE(tag, at);
    header.writeUInt16LE(type, at + 2);
    header.writeUInt32LE(values.length, at + 4);
    const size = SIZES[type] * values.length;
    const target = size <= 4 ? at + 8 : free;
    if (size > 4) {
      header.writeUInt32LE(free, at + 8);
      free += size + (size % 2);
    }
    values.forEach((value, k) => {
      write(header, type, target + k * SIZES[type], tag === 273 ? header.length : value);
    });
  }
  return Buffer.concat([header, strip]);
}

/**
 * @param {Buffer} buffer
 * @param {number} type
 * @param {number} at
 * @param {TiffValue} value
 */
function write(buffer, type, at, value) {
  if (typeof value !== "number") {
    buffer.writeInt32LE(value[0], at);
    buffer.writeInt32LE(value[1], at + 4);
  } else if (type === 3) buffer.writeUInt16LE(value, at);
  else if (type === 4) buffer.writeUInt32LE(value, at);
  else buffer.writeUInt8(value, at);
}

/** @param {string} words */
function text(words) {
  return [...Buffer.from(`${words}\0`, "latin1")];
}

/**
 * A gradient with noise that grows by the root of light, as photons have it: near 1 % at full scale.
 *
 * @param {number} width
 * @param {number} height
 */
function samples(width, height) {
  let state = 1;
  const random = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
  const values = new Uint16Array(width * height);
  for (let i = 0; i < values.length; i++) {
    const light = 0.01 + 0.6 * ((i % width) / width);
    // The sum of three has a standard deviation of a half.
    const noise = 0.02 * Math.sqrt(light) * (random() + random() + random() - 1.5);
    values[i] = BLACK + (light + noise) * (WHITE - BLACK);
  }
  return values;
}
