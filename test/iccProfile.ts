import { crc32, deflateSync } from "node:zlib";

/** One curve of a test profile: a table, a gamma, or the sRGB parametric curve. */
export type TestCurve = { gamma: number } | { table: number[] } | "srgb";

/** A display profile of curves and colorants, as [ICC] lays one out; colorants adapted to D50. */
export function matrixProfile(options: {
  colorants: readonly [readonly number[], readonly number[], readonly number[]];
  curve: TestCurve;
  white?: readonly number[];
  chad?: readonly number[];
}): Uint8Array {
  const { colorants, curve, white = [0.9642, 1, 0.8249], chad } = options;
  const [red, green, blue] = colorants;
  return profile("RGB ", [
    ["desc", description("test profile")],
    ["wtpt", xyz(white)],
    ...(chad ? ([["chad", chadTag(chad)]] as const) : []),
    ["rXYZ", xyz(red)],
    ["gXYZ", xyz(green)],
    ["bXYZ", xyz(blue)],
    ["rTRC", curveTag(curve)],
    ["gTRC", curveTag(curve)],
    ["bTRC", curveTag(curve)],
  ]);
}

/** A grey profile of one curve. */
export function greyProfile(curve: TestCurve): Uint8Array {
  return profile("GRAY", [
    ["desc", description("test grey profile")],
    ["wtpt", xyz([0.9642, 1, 0.8249])],
    ["kTRC", curveTag(curve)],
  ]);
}

/** A PNG with a profile put into it and no pixel touched. */
export function pngWithProfile(png: Uint8Array, icc: Uint8Array): Uint8Array {
  return pngWithChunk(
    png,
    "iCCP",
    Buffer.concat([Buffer.from("test\0\0", "latin1"), deflateSync(icc)]),
  );
}

/** A PNG with a chunk put in behind its header. */
export function pngWithChunk(png: Uint8Array, name: string, data: Uint8Array): Uint8Array {
  const body = Buffer.concat([Buffer.from(name, "latin1"), data]);
  const length = Buffer.alloc(4);
  length.writeUInt32BE(data.length);
  const check = Buffer.alloc(4);
  check.writeUInt32BE(crc32(body));
  const header = 8 + 25;
  return Buffer.concat([png.subarray(0, header), length, body, check, png.subarray(header)]);
}

/** A JPEG with a profile put into it and no pixel touched. */
export function jpegWithProfile(jpeg: Uint8Array, icc: Uint8Array): Uint8Array {
  const head = Buffer.from([0xff, 0xe2, 0, 0]);
  const body = Buffer.concat([Buffer.from("ICC_PROFILE\0\x01\x01", "latin1"), icc]);
  head.writeUInt16BE(body.length + 2, 2);
  return Buffer.concat([jpeg.subarray(0, 2), head, body, jpeg.subarray(2)]);
}

function profile(space: string, tags: readonly (readonly [string, Buffer])[]): Uint8Array {
  const table = Buffer.alloc(4 + 12 * tags.length);
  table.writeUInt32BE(tags.length, 0);
  let offset = 128 + table.length;
  tags.forEach(([name, data], i) => {
    table.write(name, 4 + 12 * i, "latin1");
    table.writeUInt32BE(offset, 8 + 12 * i);
    table.writeUInt32BE(data.length, 12 + 12 * i);
    offset += data.length;
  });
  const header = Buffer.alloc(128);
  header.writeUInt32BE(offset, 0);
  header.writeUInt32BE(0x04300000, 8);
  header.write(`mntr${space}XYZ `, 12, "latin1");
  header.write("acsp", 36, "latin1");
  xyz([0.9642, 1, 0.8249]).copy(header, 68, 8);
  return Buffer.concat([header, table, ...tags.map(([, data]) => data)]);
}

function xyz(values: readonly number[]): Buffer {
  const tag = Buffer.alloc(20);
  tag.write("XYZ ", 0, "latin1");
  values.forEach((value, i) => {
    tag.writeInt32BE(Math.round(value * 65536), 8 + 4 * i);
  });
  return tag;
}

function chadTag(values: readonly number[]): Buffer {
  const tag = Buffer.alloc(44);
  tag.write("sf32", 0, "latin1");
  values.forEach((value, i) => {
    tag.writeInt32BE(Math.round(value * 65536), 8 + 4 * i);
  });
  return tag;
}

function curveTag(curve: TestCurve): Buffer {
  if (curve === "srgb") {
    const tag = Buffer.alloc(32);
    tag.write("para", 0, "latin1");
    tag.writeUInt16BE(3, 8);
    [2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045].forEach((value, i) => {
      tag.writeInt32BE(Math.round(value * 65536), 12 + 4 * i);
    });
    return tag;
  }
  if ("gamma" in curve) {
    const tag = Buffer.alloc(16);
    tag.write("para", 0, "latin1");
    tag.writeInt32BE(Math.round(curve.gamma * 65536), 12);
    return tag;
  }
  const tag = Buffer.alloc(12 + 2 * curve.table.length + ((2 * curve.table.length) % 4));
  tag.write("curv", 0, "latin1");
  tag.writeUInt32BE(curve.table.length, 8);
  curve.table.forEach((value, i) => {
    tag.writeUInt16BE(Math.round(value * 65535), 12 + 2 * i);
  });
  return tag;
}

function description(text: string): Buffer {
  const tag = Buffer.alloc(28 + 2 * text.length + ((2 * text.length) % 4));
  tag.write("mluc", 0, "latin1");
  tag.writeUInt32BE(1, 8);
  tag.writeUInt32BE(12, 12);
  tag.write("enGB", 16, "latin1");
  tag.writeUInt32BE(2 * text.length, 20);
  tag.writeUInt32BE(28, 24);
  for (const [i, character] of [...text].entries()) {
    tag.writeUInt16BE(character.charCodeAt(0), 28 + 2 * i);
  }
  return tag;
}
