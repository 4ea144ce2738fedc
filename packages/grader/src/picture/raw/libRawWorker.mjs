// LibRaw, compiled to WebAssembly, in a worker thread of its own: decoding is synchronous and would stop everything else.
// JavaScript, because a worker's script is loaded by Node itself, also where the package runs from its sources.
import { closeSync, fstatSync, openSync, readFileSync, readSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { parentPort } from "node:worker_threads";
import createLibRaw from "libraw-wasm/dist/libraw.js";

/** Everything that LibRaw would do to the values of a demosaiced picture, switched off. */
const UNPROCESSED = {
  outputColor: 0,
  outputBps: 16,
  // Six numbers: with two, the curve stays in place.
  gamm: [1, 1, 0, 0, 0, 0],
  noAutoBright: true,
  noAutoScale: true,
  userMul: [1, 1, 1, 1],
  userBlack: 0,
  userCblack: [0, 0, 0, 0],
  userFlip: 0,
};

const X_TRANS = 9;

const wasmBinary = readFileSync(fileURLToPath(import.meta.resolve("libraw-wasm/dist/libraw.wasm")));
// LibRaw's memory as it begins: of a file of 60 megapixels, uncompressed, and its samples. It grows, and never shrinks.
const PAGE_BYTES = 65536;
const FIRST_PAGES = 4096;
const memory = new WebAssembly.Memory({ initial: FIRST_PAGES, maximum: 32768, shared: true });
const library = await createLibRaw({
  wasmBinary,
  wasmMemory: memory,
  print() {},
  printErr() {},
});

/** Files after which a worker is replaced whose memory has grown. */
const MOST_FILES = 40;

/** Largest file that is read into memory, as `readBytes` has it: 1 GiB. */
const MOST_BYTES = 2 ** 30;

/** What the grader uses of LibRaw's metadata: nothing that tells who, where or which copy of a camera. */
function pick(metadata) {
  const { color_data: colour, canon, raw_inset_crops: crops } = metadata;
  return {
    make: metadata.camera_make,
    model: metadata.camera_model,
    iso: metadata.iso_speed,
    shutterSeconds: metadata.shutter,
    aperture: metadata.aperture,
    focalLengthMillimetres: metadata.focal_len,
    timestampSeconds: Number(metadata.timestamp),
    flip: metadata.flip,
    rawWidth: metadata.raw_width,
    rawHeight: metadata.raw_height,
    topMargin: metadata.top_margin,
    leftMargin: metadata.left_margin,
    filters: metadata.filters >>> 0,
    colours: metadata.colors,
    colourNames: metadata.cdesc,
    foveon: Boolean(metadata.is_foveon),
    black: colour.black,
    unpackedBlack: 0,
    white: colour.maximum,
    dngWhite: colour.dng_levels.dng_whitelevel,
    asShotMultipliers: colour.cam_mul,
    daylightMultipliers: colour.pre_mul,
    srgbFromCamera: colour.rgb_cam,
    canonBlack: canon?.ChannelBlackLevel ?? null,
    canonWhite: canon?.SpecularWhiteLevel ?? 0,
    crop: crops?.[0] ?? null,
  };
}

/** Colours of a 6 x 6 mosaic, read off LibRaw's own undemosaiced picture, in which every position has but its own colour. */
function sixBySix(bytes) {
  const raw = new library.LibRaw();
  try {
    raw.open(bytes, { ...UNPROCESSED, noInterpolation: true });
    return siteColours(raw.imageData());
  } finally {
    raw.delete();
  }
}

function siteColours({ width, data }) {
  return Array.from({ length: 36 }, (_, site) => {
    const row = Math.floor(site / 6);
    const column = site % 6;
    // The first repeat of this site that is not black tells.
    for (let repeat = 0; repeat < 64; repeat++) {
      const at = 3 * ((row + 6 * (repeat >> 3)) * width + column + 6 * (repeat & 7));
      const colour = [0, 1, 2].find((plane) => data[at + plane] > 0);
      if (colour !== undefined) return colour;
    }
    return -1;
  });
}

/**
 * The unpacked mosaic, where it lies in LibRaw's memory, which every thread can read; there until the file is closed.
 *
 * LibRaw's binding copies the samples to a new `Uint16Array`, by its length; that takes a fifth as long as to unpack them.
 * While it does so, such an array is one that keeps what it is to copy. Views that LibRaw makes of its own memory, when
 * that grows, are made as ever.
 */
function rawImage(raw) {
  const usual = globalThis.Uint16Array;
  const uncopied = {
    set(samples) {
      this.samples = samples;
    },
  };
  globalThis.Uint16Array = new Proxy(usual, {
    construct: (array, [of, ...rest]) =>
      typeof of === "number" ? uncopied : new array(of, ...rest),
  });
  try {
    const { data, ...size } = raw.rawImageData();
    return { ...size, samples: data.samples };
  } finally {
    globalThis.Uint16Array = usual;
  }
}

/** The file in work, its bytes in LibRaw's memory, and how many there were before it. */
let raw = null;
let file = null;
let files = 0;

/**
 * Opens a file in the place of the last.
 *
 * LibRaw's binding copies a file's bytes to its own memory, by `set`. What it is given instead stands for them by its
 * length, and they are read to where it would copy them: the file is in memory once.
 *
 * @param {number} length - bytes of the file
 * @param {object} settings
 * @param {(place: Uint8Array) => Uint8Array} fill - puts the bytes in their place, and gives those that there were
 */
function open(length, settings, fill) {
  raw?.delete();
  raw = new library.LibRaw();
  file = null;
  files++;
  const standIn = Object.create(Uint8Array.prototype, { byteLength: { value: length } });
  const { set } = Uint8Array.prototype;
  Uint8Array.prototype.set = function (from, at) {
    if (from === standIn) file = fill(this);
    else set.call(this, from, at);
  };
  try {
    raw.open(standIn, settings);
  } finally {
    // Back to the method that all typed arrays inherit.
    delete Uint8Array.prototype.set;
  }
}

/** Reads a file whole, which may have become shorter. */
function readInto(place, descriptor) {
  let read = 0;
  while (read < place.length) {
    const bytes = readSync(descriptor, place, read, place.length - read, read);
    if (bytes === 0) break;
    read += bytes;
  }
  return place.subarray(0, read);
}

function openFrom({ input, pixels }) {
  const answer = { file: null, metadata: null, tooLong: false, unreadable: null };
  const settings = pixels ? UNPROCESSED : {};
  let descriptor = null;
  try {
    if (typeof input !== "string") {
      if (input.length > MOST_BYTES) return { ...answer, tooLong: true };
      open(input.length, settings, (place) => {
        place.set(input);
        return place;
      });
    } else {
      descriptor = openSync(input);
      const { size } = fstatSync(descriptor);
      if (size > MOST_BYTES) return { ...answer, tooLong: true };
      open(size, settings, (place) => readInto(place, descriptor));
    }
    return { ...answer, file, metadata: pick(raw.metadata(true)) };
  } catch (error) {
    if (error?.syscall) return { ...answer, unreadable: { code: error.code } };
    // C++ exceptions arrive as bare pointers: that it could not be opened is all that can be said.
    return { ...answer, file };
  } finally {
    if (descriptor !== null) closeSync(descriptor);
  }
}

/** @returns the sensor of the file in work; `stage` names how far it was readable. */
function unpack({ mostSamples }) {
  const nothing = { sensor: null, mosaic: null };
  const metadata = pick(raw.metadata(true));
  const samples = metadata.rawWidth * metadata.rawHeight;
  if (samples > mostSamples) return { ...nothing, stage: "too-large", metadata };
  if (samples > 8 * file.length) return { ...nothing, stage: "empty", metadata };
  try {
    const demosaiced = metadata.filters === 0 && metadata.colours === 3;
    const sensor = demosaiced ? demosaicedSensor(raw.imageData()) : mosaicSensor(rawImage(raw));
    if (!demosaiced) Object.assign(metadata, learnedLevels(raw.metadata(true)));
    const mosaic = metadata.filters === X_TRANS ? sixBySix(file) : null;
    return { stage: "done", metadata, sensor, mosaic };
  } catch {
    return { ...nothing, stage: "unpack", metadata };
  }
}

/**
 * The levels as they stand once the sensor is unpacked. For some cameras LibRaw learns only then how many bits a sample
 * has, and so where white lies.
 */
function learnedLevels({ color_data: { black, maximum } }) {
  return { unpackedBlack: black, white: maximum };
}

function demosaicedSensor({ width, height, data }) {
  return {
    ...{ width, height, planes: 3, samples: data },
    ...{ visibleWidth: width, visibleHeight: height },
  };
}

function mosaicSensor({ width, height, raw_width, raw_height, samples }) {
  return {
    ...{ width: raw_width, height: raw_height, planes: 1, samples },
    ...{ visibleWidth: width, visibleHeight: height },
  };
}

function isWorn() {
  return files >= MOST_FILES && memory.buffer.byteLength > FIRST_PAGES * PAGE_BYTES;
}

parentPort?.on("message", (request) => {
  const value = request.open ? openFrom(request.open) : unpack(request.unpack);
  const failed = request.open ? value.metadata === null : value.stage === "unpack";
  const { buffer } = value.sensor?.samples ?? {};
  // What lies in LibRaw's memory is shared.
  const handed = buffer instanceof ArrayBuffer ? [buffer] : [];
  parentPort?.postMessage({ value, spoilt: failed || isWorn() }, handed);
});
