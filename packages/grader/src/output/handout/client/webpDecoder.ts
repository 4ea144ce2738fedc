import decode, { init } from "@jsquash/webp/decode.js";
import type { DecodedPixels } from "../../../picture/decodedPixels.ts";
import { wasmDecoder } from "./wasmDecoder.ts";

/**
 * The decoder of WebP: libwebp in WebAssembly, which gives the codes that the command's decoder gives, those under
 * transparency too. A browser's own would do for opaque pictures, but some change what a page reads off a canvas.
 *
 * @param compiled - its WebAssembly
 */
export function webpDecoder(
  compiled: () => Promise<WebAssembly.Module>,
): (file: Uint8Array) => Promise<DecodedPixels> {
  const decoded = wasmDecoder({ init, decode }, compiled);
  return async (file) => {
    const { width, height, data } = await decoded(file);
    return { width, height, data };
  };
}
