// @ts-check
// What is asked of LibRaw, wherever it runs: in a worker thread of Node, or in a worker of a page.
import { BindingChanged } from "./bindingChanged.mjs";
import { hasGrown, mosaicInPlace, newFile, openInPlace, remarksOnFile } from "./libRawBinding.mjs";

/** @import { LibRawOwnMetadata, MosaicSize, Picture, RawFile } from "./libRawBinding.mjs" */
/** @import { DevelopAnswer, LibRawMetadata, LibRawSensor, UnpackedRaw } from "./libRaw.ts" */

/** Everything that LibRaw would do to the values of a demosaiced picture, switched off. */
export const UNPROCESSED = {
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

/**
 * What LibRaw needs besides to leave a developed picture in the sensor's own codes: without, it takes the brightest sample
 * for white, and the picture's scale is another.
 */
export const DEVELOPED = { ...UNPROCESSED, adjustMaximumThr: 0 };

const X_TRANS = 9;

/** Files after which a worker is replaced whose memory has grown. */
const MOST_FILES = 40;

/**
 * What the grader uses of LibRaw's metadata: nothing that identifies a person, a place or one copy of a camera.
 *
 * @param {LibRawOwnMetadata} metadata
 * @returns {LibRawMetadata}
 */
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

/**
 * Colours of a 6 x 6 mosaic, read off LibRaw's own undemosaiced picture, in which every position holds only its own colour.
 *
 * @param {Uint8Array} bytes
 */
function sixBySix(bytes) {
  const raw = newFile();
  try {
    raw.open(bytes, { ...UNPROCESSED, noInterpolation: true });
    return siteColours(raw.imageData());
  } finally {
    raw.delete();
  }
}

/** @param {Picture} picture */
function siteColours({ width, data }) {
  return Array.from({ length: 36 }, (_, site) => {
    const row = Math.floor(site / 6);
    const column = site % 6;
    // The first repeat of this site that is not black shows its colour.
    for (let repeat = 0; repeat < 64; repeat++) {
      const at = 3 * ((row + 6 * (repeat >> 3)) * width + column + 6 * (repeat & 7));
      const colour = [0, 1, 2].find((plane) => (data[at + plane] ?? 0) > 0);
      if (colour !== undefined) return colour;
    }
    return -1;
  });
}

/**
 * The file that is open.
 *
 * @type {RawFile | null}
 */
let raw = null;

/**
 * Its bytes, in LibRaw's memory.
 *
 * @type {Uint8Array | null}
 */
let file = null;

/** How many files have been opened. */
let files = 0;

/**
 * Opens a file in place of the last.
 *
 * @param {number} length - bytes of the file
 * @param {object} settings
 * @param {(place: Uint8Array) => Uint8Array} fill - puts the bytes in their place and returns those that there were
 */
export function openFile(length, settings, fill) {
  raw?.delete();
  raw = newFile();
  file = null;
  files++;
  openInPlace(raw, length, settings, (place) => {
    file = fill(place);
  });
  return raw;
}

/** The file that is open, as the grader asks of it. */
export function openedFile() {
  return { file, metadata: raw && pick(raw.metadata(true)) };
}

/** The bytes of the file that was opened last, whether LibRaw took it or not. */
export function lastFile() {
  return file;
}

/**
 * @param {{ mostSamples: number }} request
 * @returns {UnpackedRaw} the sensor of the open file; `stage` says how far it could be read
 */
export function unpack({ mostSamples }) {
  const nothing = { sensor: null, mosaic: null, remarks: remarksOnFile() };
  if (raw === null || file === null) throw new Error("Expected an open file to unpack");
  const metadata = pick(raw.metadata(true));
  const samples = metadata.rawWidth * metadata.rawHeight;
  if (samples > mostSamples) return { ...nothing, stage: "too-large", metadata };
  if (samples > 8 * file.length) return { ...nothing, stage: "empty", metadata };
  try {
    const demosaiced = metadata.filters === 0 && metadata.colours === 3;
    const sensor = demosaiced
      ? demosaicedSensor(raw.imageData())
      : mosaicSensor(mosaicInPlace(raw));
    if (!demosaiced) Object.assign(metadata, learnedLevels(raw.metadata(true)));
    const mosaic = metadata.filters === X_TRANS ? sixBySix(file) : null;
    return { ...nothing, stage: "done", metadata, sensor, mosaic };
  } catch (error) {
    if (error instanceof BindingChanged) throw error;
    return { ...nothing, stage: "unpack", metadata };
  }
}

/**
 * The file that was opened with {@link DEVELOPED}, with three colours at every position and black left in.
 *
 * @param {{ mostSamples: number }} request
 * @returns {Pick<DevelopAnswer, "stage" | "sensor" | "left" | "top">}
 */
export function develop({ mostSamples }) {
  const nothing = { sensor: null, left: 0, top: 0 };
  if (raw === null) return { ...nothing, stage: "unpack" };
  const { rawWidth, rawHeight, leftMargin: left, topMargin: top } = pick(raw.metadata(true));
  if (rawWidth * rawHeight > mostSamples) return { ...nothing, stage: "too-large" };
  try {
    return { stage: "done", sensor: demosaicedSensor(raw.imageData()), left, top };
  } catch (error) {
    if (error instanceof BindingChanged) throw error;
    return { ...nothing, stage: "unpack" };
  }
}

/**
 * The levels as they stand once the sensor is unpacked. For some cameras LibRaw learns only then how many bits a sample
 * has, and so where white lies.
 *
 * @param {LibRawOwnMetadata} metadata
 */
function learnedLevels({ color_data: { black, maximum } }) {
  return { unpackedBlack: black, white: maximum };
}

/**
 * @param {Picture} picture
 * @returns {LibRawSensor}
 */
function demosaicedSensor({ width, height, data }) {
  return {
    ...{ width, height, planes: 3, samples: data },
    ...{ visibleWidth: width, visibleHeight: height },
  };
}

/**
 * @param {MosaicSize & { samples: Uint16Array }} mosaic
 * @returns {LibRawSensor}
 */
function mosaicSensor({ width, height, raw_width, raw_height, samples }) {
  return {
    ...{ width: raw_width, height: raw_height, planes: 1, samples },
    ...{ visibleWidth: width, visibleHeight: height },
  };
}

/** Whether LibRaw had better be started anew, to give its memory back. */
export function isWorn() {
  return files >= MOST_FILES && hasGrown();
}
