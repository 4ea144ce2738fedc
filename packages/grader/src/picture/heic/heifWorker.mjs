// libheif, compiled to WebAssembly, in a worker thread of its own: decoding is synchronous and takes half a second.
// JavaScript, because a worker's script is loaded by Node itself, also where the package runs from its sources.
import { parentPort } from "node:worker_threads";
import heif from "libheif-js/wasm-bundle.js";

const RGB = 1;
/** Interleaved layouts by bytes of a sample and alpha: RGB, RGBA, and both of 16-bit little-endian samples. */
const LAYOUTS = { "1,3": 10, "1,4": 11, "2,3": 14, "2,4": 15 };
const INTERLEAVED = 10;

/** Bytes of libheif's error (code, subcode, message), and of its colour description. */
const ERROR_BYTES = 12;
const NCLX_FIELDS = { primaries: 4, transfer: 8, matrix: 12, fullRange: 16 };

/** A refusal of our own, beside libheif's numbers. */
const TOO_LARGE = -1;

/** `tmap` */
const TONE_MAP = 0x746d6170;

/** A refusal of libheif, with its numbers and its own words. */
class HeifError extends Error {
  constructor(code, subcode, message) {
    super(message);
    this.code = code;
    this.subcode = subcode;
  }
}

/** Calls a function that writes an error to its first argument. */
function call(name, ...parameters) {
  const error = heif._malloc(ERROR_BYTES);
  try {
    heif[name](error, ...parameters);
    const code = heif.HEAP32[error >> 2];
    if (code === 0) return;
    throw new HeifError(code, heif.HEAP32[(error >> 2) + 1], text(heif.HEAPU32[(error >> 2) + 2]));
  } finally {
    heif._free(error);
  }
}

/** Calls such a function for the pointer that it writes to its last argument. */
function pointerFrom(name, ...parameters) {
  const place = heif._malloc(4);
  try {
    call(name, ...parameters, place);
    return heif.HEAPU32[place >> 2];
  } finally {
    heif._free(place);
  }
}

function text(pointer) {
  const end = heif.HEAPU8.indexOf(0, pointer);
  return pointer === 0 ? "" : new TextDecoder().decode(heif.HEAPU8.slice(pointer, end));
}

/** Runs one step and gives back what it held, whatever happens. */
function using(pointer, release, use) {
  try {
    return use(pointer);
  } finally {
    release(pointer);
  }
}

function iccOf(handle) {
  const size = heif._heif_image_handle_get_raw_color_profile_size(handle);
  if (size === 0) return null;
  return using(heif._malloc(size), heif._free, (place) => {
    call("_heif_image_handle_get_raw_color_profile", handle, place);
    return heif.HEAPU8.slice(place, place + size);
  });
}

function nclxOf(handle) {
  try {
    const nclx = pointerFrom("_heif_image_handle_get_nclx_color_profile", handle);
    return using(nclx, heif._heif_nclx_color_profile_free, (at) => ({
      primaries: heif.HEAP32[(at + NCLX_FIELDS.primaries) >> 2],
      transfer: heif.HEAP32[(at + NCLX_FIELDS.transfer) >> 2],
      matrix: heif.HEAP32[(at + NCLX_FIELDS.matrix) >> 2],
      fullRange: heif.HEAPU8[at + NCLX_FIELDS.fullRange] !== 0,
    }));
  } catch (error) {
    if (error instanceof HeifError) return null;
    throw error;
  }
}

/** Types of the pictures that go with the main one: gain maps, depth, masks. */
function auxiliaryTypes(handle) {
  const count = heif._heif_image_handle_get_number_of_auxiliary_images(handle, 0);
  if (count === 0) return [];
  return using(heif._malloc(4 * count), heif._free, (ids) => {
    const found = heif._heif_image_handle_get_list_of_auxiliary_image_IDs(handle, 0, ids, count);
    return Array.from({ length: found }, (_, i) => {
      const id = heif.HEAPU32[(ids >> 2) + i];
      const auxiliary = pointerFrom("_heif_image_handle_get_auxiliary_image_handle", handle, id);
      return using(auxiliary, heif._heif_image_handle_release, (at) =>
        text(pointerFrom("_heif_image_handle_get_auxiliary_type", at)),
      );
    });
  });
}

function isGainMap(type) {
  return /gainmap/i.test(type);
}

/** Whether the file derives a brighter picture from a tone map: the newer form of a gain map [ISO-21496]. */
function hasToneMap(context) {
  const count = heif._heif_context_get_number_of_items(context);
  return using(heif._malloc(4 * Math.max(1, count)), heif._free, (ids) => {
    const found = heif._heif_context_get_list_of_item_IDs(context, ids, count);
    return Array.from({ length: found }, (_, i) => heif.HEAPU32[(ids >> 2) + i]).some(
      (id) => heif._heif_item_get_item_type(context, id) === TONE_MAP,
    );
  });
}

/** Interleaved samples without padding; more than 8 bits are spread over 16. */
function samplesOf(image, { width, height, channels, bits }) {
  const stride = heif._malloc(4);
  const plane = heif._heif_image_get_plane_readonly(image, INTERLEAVED, stride);
  const bytesPerRow = heif.HEAP32[stride >> 2];
  heif._free(stride);
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
    for (let x = 0; x < row; x++) samples[y * row + x] = Math.round(heif.HEAPU16[from + x] * scale);
  }
  return samples;
}

function decode(bytes, mostPixels) {
  // The context reads from these bytes until it is freed.
  return using(heif._malloc(bytes.length), heif._free, (file) => {
    heif.HEAPU8.set(bytes, file);
    return using(heif._heif_context_alloc(), heif._heif_context_free, (context) => {
      call("_heif_context_read_from_memory_without_copy", context, file, bytes.length, 0);
      const primary = pointerFrom("_heif_context_get_primary_image_handle", context);
      return using(primary, heif._heif_image_handle_release, (handle) => {
        const pixels =
          heif._heif_image_handle_get_width(handle) * heif._heif_image_handle_get_height(handle);
        if (pixels > mostPixels) throw new HeifError(TOO_LARGE, 0, "");
        const bits = heif._heif_image_handle_get_luma_bits_per_pixel(handle);
        const channels = heif._heif_image_handle_has_alpha_channel(handle) ? 4 : 3;
        const layout = LAYOUTS[`${bits > 8 ? 2 : 1},${channels}`];
        // libheif turns and mirrors the picture as its container says.
        const image = decodeTo(handle, layout);
        return using(image, heif._heif_image_release, (at) => {
          const width = heif._heif_image_get_primary_width(at);
          const height = heif._heif_image_get_primary_height(at);
          const size = { width, height, channels, bits };
          return {
            ...size,
            samples: samplesOf(at, size),
            icc: iccOf(handle),
            nclx: nclxOf(handle),
            gainMap: hasToneMap(context) || auxiliaryTypes(handle).some(isGainMap),
          };
        });
      });
    });
  });
}

function decodeTo(handle, layout) {
  const place = heif._malloc(4);
  try {
    call("_heif_decode_image", handle, place, RGB, layout, 0);
    return heif.HEAPU32[place >> 2];
  } finally {
    heif._free(place);
  }
}

parentPort?.on("message", ({ bytes, mostPixels }) => {
  let value;
  try {
    value = { picture: decode(bytes, mostPixels), error: null };
  } catch (error) {
    const { code = 0, subcode = 0 } = error;
    value = { picture: null, error: { code, subcode, message: String(error.message ?? "") } };
  }
  const { picture } = value;
  parentPort?.postMessage(
    { value, spoilt: picture === null },
    picture ? [picture.samples.buffer] : [],
  );
});
