// @ts-check
// LibRaw, compiled to WebAssembly, and the one place that alters how its binding (libraw-wasm) behaves.
//
// The binding copies every file into LibRaw's memory and every mosaic out of it. Both copies are avoided here by standing in
// for what the binding looks up while it runs: `Uint8Array.prototype.set` and `globalThis.Uint16Array`. Each is altered for
// one synchronous call and restored after it. In a page, where no text may become code, `Function` is altered too. A binding
// that works in another way is reported by BindingChanged.
// @ts-expect-error: the compiled module carries no types; those that are used stand below
import createLibRaw from "libraw-wasm/dist/libraw.js";
import { BindingChanged } from "./bindingChanged.mjs";
import { functionsWithoutText } from "./functionsWithoutText.mjs";

/**
 * LibRaw's metadata in its own names; only what is read here.
 *
 * @typedef {object} LibRawOwnMetadata
 * @property {string} camera_make
 * @property {string} camera_model
 * @property {number} iso_speed
 * @property {number} shutter
 * @property {number} aperture
 * @property {number} focal_len
 * @property {number | bigint} timestamp
 * @property {number} flip
 * @property {number} raw_width
 * @property {number} raw_height
 * @property {number} top_margin
 * @property {number} left_margin
 * @property {number} filters
 * @property {number} colors
 * @property {string} cdesc
 * @property {unknown} is_foveon
 * @property {{
 *   black: number, maximum: number, dng_levels: { dng_whitelevel: number[] },
 *   cam_mul: number[], pre_mul: number[], rgb_cam: number[][],
 * }} color_data
 * @property {{ ChannelBlackLevel?: number[], SpecularWhiteLevel?: number }} [canon]
 * @property {{ cleft: number, ctop: number, cwidth: number, cheight: number }[]} [raw_inset_crops]
 */

/** @typedef {{ width: number, height: number, data: Uint16Array }} Picture */
/** @typedef {{ width: number, height: number, raw_width: number, raw_height: number }} MosaicSize */

/**
 * One file in LibRaw.
 *
 * @typedef {object} RawFile
 * @property {(bytes: Uint8Array, settings: object) => unknown} open
 * @property {(all: boolean) => LibRawOwnMetadata} metadata
 * @property {() => Picture} imageData
 * @property {() => MosaicSize & { data: unknown }} rawImageData
 * @property {() => void} delete
 */

const PAGE_BYTES = 65536;

/** LibRaw's memory at the start: enough for an uncompressed file of 60 megapixels and its samples. It never shrinks. */
const FIRST_PAGES = 4096;

const memory = new WebAssembly.Memory({ initial: FIRST_PAGES, maximum: 32768, shared: true });

/** @type {{ LibRaw: new () => RawFile }} */
let library;

/**
 * What LibRaw, and the JPEG library in it, have said of the file that was opened last.
 *
 * @type {string[]}
 */
let remarks = [];

/** A damaged file may have a remark for each of its tiles. */
const MOST_REMARKS = 100;

/**
 * Starts LibRaw; to be awaited before anything else is asked of it.
 *
 * @param {Uint8Array} wasmBinary - its WebAssembly
 */
export async function startLibRaw(wasmBinary) {
  library = await createLibRaw({
    wasmBinary,
    wasmMemory: memory,
    // Its WebAssembly is given: it has nothing to look for.
    locateFile: (/** @type {string} */ name) => name,
    print() {},
    // LibRaw returns a whole picture from damaged data, and says so only here.
    printErr(/** @type {string} */ remark) {
      if (remarks.length < MOST_REMARKS) remarks.push(remark);
    },
  });
}

/**
 * Lets the binding start and work where no text may become code. It stays so for the rest of this thread, which should do
 * nothing else.
 */
export function forbidTextAsCode() {
  globalThis.Function = functionsWithoutText();
}

/** A file to be opened; `delete` frees it. */
export function newFile() {
  return new library.LibRaw();
}

/** What LibRaw has said of the file that was opened last, a line each; its words are its own. */
export function remarksOnFile() {
  return remarks;
}

/** Whether LibRaw's memory has grown since it started. */
export function hasGrown() {
  return memory.buffer.byteLength > FIRST_PAGES * PAGE_BYTES;
}

/**
 * Opens a file whose bytes are written straight to LibRaw's memory, so that they are in memory once.
 *
 * The binding reads the length of what it is given and copies it by `set`; an object that has a length and no bytes stands
 * in for them.
 *
 * @param {RawFile} raw
 * @param {number} length - bytes of the file
 * @param {object} settings
 * @param {(place: Uint8Array) => void} fill - puts the bytes in their place
 * @throws {BindingChanged}; what LibRaw throws, and `fill`
 */
export function openInPlace(raw, length, settings, fill) {
  remarks = [];
  let filled = false;
  const standIn = Object.create(Uint8Array.prototype, { byteLength: { value: length } });
  const { set } = Uint8Array.prototype;
  /** @type {typeof set} */
  Uint8Array.prototype.set = function (from, at) {
    if (from === standIn) {
      filled = true;
      fill(this);
    } else set.call(this, from, at);
  };
  try {
    raw.open(standIn, settings);
  } finally {
    // Uncovers the method that all typed arrays inherit.
    Reflect.deleteProperty(Uint8Array.prototype, "set");
  }
  if (!filled) throw new BindingChanged("did not copy the file by Uint8Array.prototype.set");
}

/**
 * The unpacked mosaic where it lies in LibRaw's memory, which every thread can read; there until the file is closed.
 *
 * The binding makes a `Uint16Array` of the mosaic's length and copies the samples to it, which takes a fifth as long as
 * unpacking them. An object that keeps the samples stands in for that array. Views of LibRaw's memory, which are made anew
 * when that grows, are made as usual.
 *
 * @param {RawFile} raw
 * @returns {MosaicSize & { samples: Uint16Array }}
 * @throws {BindingChanged}; what LibRaw throws
 */
export function mosaicInPlace(raw) {
  const usual = globalThis.Uint16Array;
  const uncopied = {
    /** @type {Uint16Array | null} */
    samples: null,
    /** @param {Uint16Array} samples */
    set(samples) {
      this.samples = samples;
    },
  };
  globalThis.Uint16Array = new Proxy(usual, {
    construct: (array, [of, ...rest]) =>
      typeof of === "number" ? uncopied : Reflect.construct(array, [of, ...rest]),
  });
  try {
    const { data, ...size } = raw.rawImageData();
    if (data !== uncopied || uncopied.samples === null) {
      throw new BindingChanged("did not copy the mosaic to a new Uint16Array");
    }
    return { ...size, samples: uncopied.samples };
  } finally {
    globalThis.Uint16Array = usual;
  }
}
