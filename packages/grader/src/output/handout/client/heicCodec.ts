import libheif from "libheif-js/libheif-wasm/libheif.js";
import { DEFAULT_LIMITS } from "../../../picture/decodeLimits.ts";
import { heicPicture } from "../../../picture/heic/heicPicture.ts";
import { decodeHeif, useHeif } from "../../../picture/heic/heifPicture.mjs";
import { codecWorker } from "./codecWorker.ts";

type Heif = Parameters<typeof useHeif>[0];

/** The types describe the library's own wrapper; its C functions, which are used here, are not among them. */
const start = libheif as unknown as (given: { readonly wasmBinary: Uint8Array }) => Heif;

codecWorker(async (bytes, wasm) => {
  useHeif(start({ wasmBinary: wasm }));
  const { maxMegapixels } = DEFAULT_LIMITS;
  const picture = heicPicture(decodeHeif(bytes, 1e6 * maxMegapixels), maxMegapixels);
  return { value: picture, handed: [picture.samples.buffer as ArrayBuffer] };
});
