// @ts-check
// libheif, compiled to WebAssembly, in a worker thread of its own: decoding is synchronous and takes half a second.
// JavaScript, because Node itself loads a worker's script, also where the package runs from its sources.
import { parentPort } from "node:worker_threads";
// @ts-expect-error: the compiled module carries no types; those that are used stand below
import untyped from "libheif-js/wasm-bundle.js";

/** @import { CodePoints, DecodedHeif, HeifAnswer } from "./decodeHeic.ts" */

/**
 * libheif's memory and its C functions, which take and return numbers and pointers.
 *
 * @typedef {object} Memory
 * @property {Int32Array} HEAP32
 * @property {Uint32Array} HEAPU32
 * @property {Uint8Array} HEAPU8
 * @property {Uint16Array} HEAPU16
 */

/** @type {Memory & Readonly<Record<`_${string}`, ((...parameters: number[]) => number) | undefined>>} */
const heif = untyped;

const RGB = 1;
/**
 * Interleaved layouts by bytes of a sample and alpha: RGB, RGBA, and both of 16-bit little-endian samples.
 *
 * @type {Readonly<Record<string, number>>}
 */
const LAYOUTS = { "1,3": 10, "1,4": 11, "2,3": 14, "2,4": 15 };
const INTERLEAVED = 10;

/** Bytes of libheif's error (code, subcode, message), and of its colour description. */
const ERROR_BYTES = 12;
const NCLX_FIELDS = { primaries: 4, transfer: 8, matrix: 12, fullRange: 16 };

/** Our own number for a refusal, beside libheif's. */
const TOO_LARGE = -1;

/** `tmap` */
const TONE_MAP = 0x746d6170;

/** A refusal by libheif, with its numbers and its own words. */
class HeifError extends Error {
  /**
   * @param {number} code
   * @param {number} subcode
   * @param {string} message
   */
  constructor(code, subcode, message) {
    super(message);
    this.code = code;
    this.subcode = subcode;
  }
}

/**
 * The number at an address of 32-bit numbers.
 *
 * @param {Int32Array | Uint32Array} heap
 * @param {number} address - in bytes
 */
function wordAt(heap, address) {
  return heap[address >> 2] ?? 0;
}

/**
 * Calls a function that writes an error to its first argument.
 *
 * @param {`_${string}`} name
 * @param {number[]} parameters
 */
function call(name, ...parameters) {
  const error = allocate(ERROR_BYTES);
  try {
    run(name, error, ...parameters);
    const code = wordAt(heif.HEAP32, error);
    if (code === 0) return;
    const [subcode, message] = [wordAt(heif.HEAP32, error + 4), wordAt(heif.HEAPU32, error + 8)];
    throw new HeifError(code, subcode, text(message));
  } finally {
    free(error);
  }
}

/**
 * Runs a C function.
 *
 * @param {`_${string}`} name
 * @param {number[]} parameters
 * @returns {number}
 */
function run(name, ...parameters) {
  const callee = heif[name];
  if (callee === undefined)
    throw new Error(`libheif-js has no ${name}; adapt heifWorker.mjs to it`);
  return callee(...parameters);
}

/** @param {number} bytes */
function allocate(bytes) {
  return run("_malloc", bytes);
}

/** @param {number} pointer */
function free(pointer) {
  run("_free", pointer);
}

/**
 * Calls such a function for the pointer that it writes to its last argument.
 *
 * @param {`_${string}`} name
 * @param {number[]} parameters
 */
function pointerFrom(name, ...parameters) {
  const place = allocate(4);
  try {
    call(name, ...parameters, place);
    return wordAt(heif.HEAPU32, place);
  } finally {
    free(place);
  }
}

/** @param {number} pointer */
function text(pointer) {
  const end = heif.HEAPU8.indexOf(0, pointer);
  return pointer === 0 ? "" : new TextDecoder().decode(heif.HEAPU8.slice(pointer, end));
}

/**
 * Runs one step and releases what it held, whatever happens.
 *
 * @template T
 * @param {number} pointer
 * @param {(pointer: number) => void} release
 * @param {(pointer: number) => T} use
 * @returns {T}
 */
function using(pointer, release, use) {
  try {
    return use(pointer);
  } finally {
    release(pointer);
  }
}

/** @param {number} handle */
function iccOf(handle) {
  const size = run("_heif_image_handle_get_raw_color_profile_size", handle);
  if (size === 0) return null;
  return using(allocate(size), free, (place) => {
    call("_heif_image_handle_get_raw_color_profile", handle, place);
    return heif.HEAPU8.slice(place, place + size);
  });
}

/**
 * @param {number} handle
 * @returns {CodePoints | null}
 */
function nclxOf(handle) {
  try {
    const nclx = pointerFrom("_heif_image_handle_get_nclx_color_profile", handle);
    return using(
      nclx,
      (held) => run("_heif_nclx_color_profile_free", held),
      (at) => ({
        primaries: wordAt(heif.HEAP32, at + NCLX_FIELDS.primaries),
        transfer: wordAt(heif.HEAP32, at + NCLX_FIELDS.transfer),
        matrix: wordAt(heif.HEAP32, at + NCLX_FIELDS.matrix),
        fullRange: heif.HEAPU8[at + NCLX_FIELDS.fullRange] !== 0,
      }),
    );
  } catch (error) {
    if (error instanceof HeifError) return null;
    throw error;
  }
}

/**
 * Types of the pictures that go with the main one: gain maps, depth, masks.
 *
 * @param {number} handle
 */
function auxiliaryTypes(handle) {
  const count = run("_heif_image_handle_get_number_of_auxiliary_images", handle, 0);
  if (count === 0) return [];
  return using(allocate(4 * count), free, (ids) => {
    const found = run("_heif_image_handle_get_list_of_auxiliary_image_IDs", handle, 0, ids, count);
    return Array.from({ length: found }, (_, i) => {
      const id = wordAt(heif.HEAPU32, ids + 4 * i);
      const auxiliary = pointerFrom("_heif_image_handle_get_auxiliary_image_handle", handle, id);
      return using(
        auxiliary,
        (held) => run("_heif_image_handle_release", held),
        (at) => text(pointerFrom("_heif_image_handle_get_auxiliary_type", at)),
      );
    });
  });
}

/** @param {string} type */
function isGainMap(type) {
  return /gainmap/i.test(type);
}

/**
 * Whether the file derives a brighter picture from a tone map: the newer form of a gain map [ISO-21496].
 *
 * @param {number} context
 */
function hasToneMap(context) {
  const count = run("_heif_context_get_number_of_items", context);
  return using(allocate(4 * Math.max(1, count)), free, (ids) => {
    const found = run("_heif_context_get_list_of_item_IDs", context, ids, count);
    return Array.from({ length: found }, (_, i) => wordAt(heif.HEAPU32, ids + 4 * i)).some(
      (id) => run("_heif_item_get_item_type", context, id) === TONE_MAP,
    );
  });
}

/**
 * Interleaved samples without padding; more than 8 bits are spread over 16.
 *
 * @param {number} image
 * @param {{ width: number, height: number, channels: number, bits: number }} size
 */
function samplesOf(image, { width, height, channels, bits }) {
  const stride = allocate(4);
  const plane = run("_heif_image_get_plane_readonly", image, INTERLEAVED, stride);
  const bytesPerRow = wordAt(heif.HEAP32, stride);
  free(stride);
  const row = width * channels;
  if (bits <= 8) {
    const samples = new Uint8Array(row * height);
    for (let y = 0; y < height; y++) {
      const from = plane + y * bytesPerRow;
      samples.set(heif.HEAPU8.subarray(from, from + row), y * row);
    }
    return samples;
  }
  const samples = new Uint16Array(row * height);
  const scale = 65535 / ((1 << bits) - 1);
  for (let y = 0; y < height; y++) {
    const from = (plane + y * bytesPerRow) >> 1;
    for (let x = 0; x < row; x++)
      samples[y * row + x] = Math.round((heif.HEAPU16[from + x] ?? 0) * scale);
  }
  return samples;
}

/**
 * @param {Uint8Array} bytes
 * @param {number} mostPixels
 * @returns {DecodedHeif}
 */
function decode(bytes, mostPixels) {
  // The context reads from these bytes until it is freed.
  return using(allocate(bytes.length), free, (file) => {
    heif.HEAPU8.set(bytes, file);
    return using(
      run("_heif_context_alloc"),
      (held) => run("_heif_context_free", held),
      (context) => {
        call("_heif_context_read_from_memory_without_copy", context, file, bytes.length, 0);
        const primary = pointerFrom("_heif_context_get_primary_image_handle", context);
        return using(
          primary,
          (held) => run("_heif_image_handle_release", held),
          (handle) => {
            const pixels =
              run("_heif_image_handle_get_width", handle) *
              run("_heif_image_handle_get_height", handle);
            if (pixels > mostPixels) throw new HeifError(TOO_LARGE, 0, "");
            const bits = run("_heif_image_handle_get_luma_bits_per_pixel", handle);
            /** @type {3 | 4} */
            const channels = run("_heif_image_handle_has_alpha_channel", handle) ? 4 : 3;
            const layout = LAYOUTS[`${bits > 8 ? 2 : 1},${channels}`] ?? 0;
            // libheif turns and mirrors the picture as its container says.
            const image = decodeTo(handle, layout);
            return using(
              image,
              (held) => run("_heif_image_release", held),
              (at) => {
                const width = run("_heif_image_get_primary_width", at);
                const height = run("_heif_image_get_primary_height", at);
                const size = { width, height, channels, bits };
                return {
                  ...size,
                  samples: samplesOf(at, size),
                  icc: iccOf(handle),
                  nclx: nclxOf(handle),
                  gainMap: hasToneMap(context) || auxiliaryTypes(handle).some(isGainMap),
                };
              },
            );
          },
        );
      },
    );
  });
}

/**
 * @param {number} handle
 * @param {number} layout
 */
function decodeTo(handle, layout) {
  const place = allocate(4);
  try {
    call("_heif_decode_image", handle, place, RGB, layout, 0);
    return wordAt(heif.HEAPU32, place);
  } finally {
    free(place);
  }
}

/**
 * @param {Uint8Array} bytes
 * @param {number} mostPixels
 * @returns {HeifAnswer}
 */
function answer(bytes, mostPixels) {
  try {
    return { picture: decode(bytes, mostPixels), error: null };
  } catch (error) {
    const { code = 0, subcode = 0 } = error instanceof HeifError ? error : {};
    const message = error instanceof Error ? error.message : "";
    return { picture: null, error: { code, subcode, message } };
  }
}

parentPort?.on("message", ({ bytes, mostPixels }) => {
  const value = answer(bytes, mostPixels);
  const buffer = value.picture?.samples.buffer;
  parentPort?.postMessage(
    { value, spoilt: value.picture === null },
    buffer instanceof ArrayBuffer ? [buffer] : [],
  );
});
