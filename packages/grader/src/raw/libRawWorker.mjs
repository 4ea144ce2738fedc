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

/** @returns the answer to a request; `stage` names how far a file was readable. */
function answer({ bytes, pixels, mostSamples }) {
  let stage = "open";
  let metadata = null;
  try {
    return withFile(bytes, pixels ? UNPROCESSED : {}, (raw) => {
      metadata = pick(raw.metadata(true));
      if (!pixels) return { stage: "done", metadata, sensor: null, mosaic: null };
      const samples = metadata.rawWidth * metadata.rawHeight;
      if (samples > mostSamples)
        return { stage: "too-large", metadata, sensor: null, mosaic: null };
      if (samples > 8 * bytes.length)
        return { stage: "empty", metadata, sensor: null, mosaic: null };
      stage = "unpack";
      const demosaiced = metadata.filters === 0 && metadata.colours === 3;
      const { width, height, raw_width, raw_height, data } = demosaiced
        ? raw.imageData()
        : raw.rawImageData();
      metadata.unpackedBlack = demosaiced ? 0 : raw.metadata(true).color_data.black;
      const sensor = demosaiced
        ? { width, height, planes: 3, samples: data, visibleWidth: width, visibleHeight: height }
        : {
            width: raw_width,
            height: raw_height,
            planes: 1,
            samples: data,
            visibleWidth: width,
            visibleHeight: height,
          };
      const mosaic = metadata.filters === X_TRANS ? sixBySix(bytes) : null;
      return { stage: "done", metadata, sensor, mosaic };
    });
  } catch {
    // C++ exceptions arrive as bare pointers: how far the file was read is all that can be said.
    return { stage, metadata, sensor: null, mosaic: null };
  }
}

parentPort?.on("message", (request) => {
  const value = answer(request);
  const spoilt = value.stage === "open" || value.stage === "unpack";
  parentPort?.postMessage({ value, spoilt }, value.sensor ? [value.sensor.samples.buffer] : []);
});
