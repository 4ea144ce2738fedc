// LibRaw, compiled to WebAssembly, in a worker thread of its own: decoding is synchronous and would stop everything else.
// JavaScript, because a worker's script is loaded by Node itself, also where the package runs from its sources.
import { readFileSync } from "node:fs";
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
const library = await createLibRaw({ wasmBinary, print() {}, printErr() {} });

/**
 * Opens a file and does something with it; LibRaw's memory is given back whatever happens.
 *
 * @template T
 * @param {Uint8Array} bytes
 * @param {object} settings
 * @param {(raw: any) => T} use
 * @returns {T}
 */
function withFile(bytes, settings, use) {
  const raw = new library.LibRaw();
  try {
    raw.open(bytes, settings);
    return use(raw);
  } finally {
    raw.delete();
  }
}

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
  const settings = { ...UNPROCESSED, noInterpolation: true };
  const { width, data } = withFile(bytes, settings, (raw) => raw.imageData());
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

/** The file whose samples the last answer pointed at. */
let opened = null;

function open(bytes, settings) {
  opened?.delete();
  opened = new library.LibRaw();
  opened.open(bytes, settings);
  return opened;
}

/** @returns the answer to a request; `stage` names how far a file was readable. */
function answer({ bytes, pixels, mostSamples }) {
  const nothing = { metadata: null, sensor: null, mosaic: null, spare: bytes.buffer };
  let stage = "open";
  let metadata = null;
  try {
    const raw = open(bytes, pixels ? UNPROCESSED : {});
    metadata = pick(raw.metadata(true));
    if (!pixels) return { ...nothing, stage: "done", metadata };
    const samples = metadata.rawWidth * metadata.rawHeight;
    if (samples > mostSamples) return { ...nothing, stage: "too-large", metadata };
    if (samples > 8 * bytes.length) return { ...nothing, stage: "empty", metadata };
    stage = "unpack";
    const demosaiced = metadata.filters === 0 && metadata.colours === 3;
    const sensor = demosaiced ? demosaicedSensor(raw.imageData()) : mosaicSensor(rawImage(raw));
    metadata.unpackedBlack = demosaiced ? 0 : raw.metadata(true).color_data.black;
    const mosaic = metadata.filters === X_TRANS ? sixBySix(bytes) : null;
    return { ...nothing, stage: "done", metadata, sensor, mosaic };
  } catch {
    // C++ exceptions arrive as bare pointers: how far the file was read is all that can be said.
    return { ...nothing, stage, metadata };
  }
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

parentPort?.on("message", (request) => {
  const value = answer(request);
  const spoilt = value.stage === "open" || value.stage === "unpack";
  const buffers = [value.spare, value.sensor?.samples.buffer];
  // Shared memory stays where it is.
  const handed = buffers.filter((buffer) => buffer instanceof ArrayBuffer);
  parentPort?.postMessage({ value, spoilt }, handed);
});
