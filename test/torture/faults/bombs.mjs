import { crc32, deflateSync } from "node:zlib";
import sharp from "sharp";
import { victim } from "../sendTo.mjs";

const LIMITS = { timeLimitSeconds: 60, maxMegapixels: 50 };

/** What a refusal, or a small picture with a bomb beside it, may take, bytes. */
const MOST_MEMORY = 600e6;

const MIB = 2 ** 20;

/** Left out of the short form. */
const SLOW = { slow: true };

/**
 * Small files that stand for very much: each must be refused, or measured without what would inflate.
 *
 * @type {readonly import("../trial.mjs").Fault[]}
 */
export const bombFaults = [
  bomb("PNG of 30,000 x 30,000 in a few bytes", "too-large", () =>
    png(30_000, 30_000, Buffer.alloc(8)),
  ),
  bomb(
    "PNG of 2^31 - 1 x 2^31 - 1",
    ["too-large", "decode-failed", "not-a-picture"],
    () => png(2 ** 31 - 1, 2 ** 31 - 1, Buffer.alloc(8)),
    SLOW,
  ),
  bomb(
    "PNG of 15,000 x 15,000 zeros, fully there",
    "too-large",
    () => png(15_000, 15_000, Buffer.alloc(15_000 * 15_001)),
    SLOW,
  ),
  bomb(
    "TIFF of 60,000 x 60,000 without pixels",
    ["too-large", "truncated", "decode-failed"],
    () => hugeTiff(60_000, 60_000),
    SLOW,
  ),
  bomb(
    "TIFF of 12,000 x 12,000 zeros, deflated",
    "too-large",
    () => flat(12_000, 12_000).tiff({ compression: "deflate" }).toBuffer(),
    SLOW,
  ),
  bomb(
    "WebP of 16,383 x 16,383",
    "too-large",
    () => flat(16_383, 16_383).webp({ lossless: true, effort: 0 }).toBuffer(),
    SLOW,
  ),
  bomb(
    "PNG whose profile inflates to 400 MiB",
    null,
    () =>
      pngWith("iCCP", Buffer.concat([Buffer.from("x\0\0"), deflateSync(Buffer.alloc(400 * MIB))])),
    SLOW,
  ),
  bomb(
    "PNG whose Exif text inflates to 400 MiB",
    null,
    () =>
      pngWith(
        "zTXt",
        Buffer.concat([
          Buffer.from("Raw profile type exif\0\0"),
          deflateSync(Buffer.alloc(400 * MIB, 48)),
        ]),
      ),
    SLOW,
  ),
  bomb(
    "PNG whose XMP inflates to 400 MiB",
    null,
    () =>
      pngWith(
        "iTXt",
        Buffer.concat([
          Buffer.from("XML:com.adobe.xmp\0\x01\0\0\0"),
          deflateSync(Buffer.alloc(400 * MIB, 60)),
        ]),
      ),
    SLOW,
  ),
  bomb(
    "JPEG with 60 kB of opening tags for XMP",
    null,
    async () => jpegWith(`http://ns.adobe.com/xap/1.0/\0${"<a>".repeat(20_000)}`),
    SLOW,
  ),
  bomb(
    "JPEG with XMP of entities within entities",
    null,
    async () =>
      jpegWith(
        `http://ns.adobe.com/xap/1.0/\0<!DOCTYPE x [<!ENTITY a "${"&b;".repeat(99)}"><!ENTITY b "${"c".repeat(9999)}">]><x>${"&a;".repeat(99)}</x>`,
      ),
    SLOW,
  ),
];

/**
 * @param {string} name
 * @param {string | readonly string[] | null} expected - codes of which one must come; null where it must be measured
 * @param {() => Buffer | Promise<Buffer>} make
 * @returns {import("../trial.mjs").Fault}
 */
function bomb(name, expected, make, { slow = false } = {}) {
  return {
    slow,
    name,
    promise: expected === null ? "measured, the bomb left alone" : "refused before it is unpacked",
    run: async ({ keep }) => {
      const bytes = await make();
      const { send, end, peak } = victim(LIMITS);
      // The first frame loads the decoders, so that the peak speaks of the bomb.
      await send(await flat(8, 8).png().toBuffer());
      const { code, broken } = await send(bytes);
      end();
      const accepted = /** @type {readonly unknown[]} */ ([expected].flat());
      const held = accepted.includes(code) && !broken && peak.rss <= MOST_MEMORY;
      if (!held) await keep(name.replaceAll(/\W+/g, "-"), bytes);
      const size = `${bytes.length.toLocaleString("en")} bytes`;
      const memory = `peak ${Math.round(peak.rss / 1e6)} MB`;
      return {
        held,
        what: `${size}: ${code ?? "measured"}, ${memory}`,
        broken: broken ? [broken] : [],
      };
    },
  };
}

/**
 * @param {number} width
 * @param {number} height
 */
function flat(width, height) {
  const background = { r: 118, g: 118, b: 118 };
  return sharp({ create: { width, height, channels: 3, background }, limitInputPixels: false });
}

/**
 * @param {string} type
 * @param {Uint8Array} data
 */
function chunk(type, data) {
  const body = Buffer.concat([Buffer.from(type, "latin1"), data]);
  const ends = Buffer.alloc(8);
  ends.writeUInt32BE(data.length, 0);
  ends.writeUInt32BE(crc32(body), 4);
  return Buffer.concat([ends.subarray(0, 4), body, ends.subarray(4)]);
}

const SIGNATURE = Buffer.from("\x89PNG\r\n\x1a\n", "latin1");

/**
 * A grey PNG that claims a size, with these bytes for its filtered rows.
 *
 * @param {number} width
 * @param {number} height
 * @param {Uint8Array} rows
 */
function png(width, height, rows) {
  const head = Buffer.from([0, 0, 0, 0, 0, 0, 0, 0, 8, 0, 0, 0, 0]);
  head.writeUInt32BE(width, 0);
  head.writeUInt32BE(height, 4);
  const pixels = chunk("IDAT", deflateSync(rows));
  return Buffer.concat([SIGNATURE, chunk("IHDR", head), pixels, chunk("IEND", Buffer.alloc(0))]);
}

/**
 * A small sound PNG with one more chunk behind its header.
 *
 * @param {string} type
 * @param {Uint8Array} data
 */
async function pngWith(type, data) {
  const sound = await flat(64, 48).png().toBuffer();
  const afterHead = 8 + 25;
  return Buffer.concat([
    sound.subarray(0, afterHead),
    chunk(type, data),
    sound.subarray(afterHead),
  ]);
}

/**
 * A small sound JPEG with one more APP1 segment.
 *
 * @param {string} text
 */
async function jpegWith(text) {
  const sound = await flat(64, 48).jpeg().toBuffer();
  const payload = Buffer.from(text, "latin1").subarray(0, 65_533);
  const head = Buffer.from([0xff, 0xe1, 0, 0]);
  head.writeUInt16BE(payload.length + 2, 2);
  return Buffer.concat([sound.subarray(0, 2), head, payload, sound.subarray(2)]);
}

/**
 * A TIFF header with one strip that is not there.
 *
 * @param {number} width
 * @param {number} height
 */
function hugeTiff(width, height) {
  const entries = [
    [256, 4, 1, width],
    [257, 4, 1, height],
    [258, 3, 1, 8],
    [259, 3, 1, 1],
    [262, 3, 1, 1],
    [273, 4, 1, 4096],
    [277, 3, 1, 1],
    [278, 4, 1, height],
    [279, 4, 1, 100],
  ];
  const file = Buffer.alloc(8 + 2 + 12 * entries.length + 4);
  file.write("II*\0", 0, "latin1");
  file.writeUInt32LE(8, 4);
  file.writeUInt16LE(entries.length, 8);
  for (const [index, [tag, type, count, value]] of entries.entries()) {
    const at = 10 + 12 * index;
    file.writeUInt16LE(tag, at);
    file.writeUInt16LE(type, at + 2);
    file.writeUInt32LE(count, at + 4);
    file.writeUInt32LE(value, at + 8);
  }
  return file;
}
