// @ts-check
// libheif, compiled to WebAssembly, in a worker thread of its own: decoding is synchronous and takes half a second.
// JavaScript, because Node itself loads a worker's script, also where the package runs from its sources.
import { parentPort } from "node:worker_threads";
// @ts-expect-error: the compiled module carries no types
import untyped from "libheif-js/wasm-bundle.js";
import { decodeHeif, useHeif } from "./heifPicture.mjs";

useHeif(untyped);

parentPort?.on("message", ({ bytes, mostPixels }) => {
  const value = decodeHeif(bytes, mostPixels);
  const buffer = value.picture?.samples.buffer;
  parentPort?.postMessage(
    { value, spoilt: value.picture === null },
    buffer instanceof ArrayBuffer ? [buffer] : [],
  );
});
