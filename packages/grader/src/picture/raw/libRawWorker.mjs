// @ts-check
// LibRaw in a worker thread of its own: decoding is synchronous and would stop everything else.
// JavaScript, because Node itself loads a worker's script, also where the package runs from its sources.
import { closeSync, fstatSync, openSync, readFileSync, readSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { setFlagsFromString } from "node:v8";
import { parentPort } from "node:worker_threads";
import { BindingChanged } from "./bindingChanged.mjs";
import { hasGrown, startLibRaw } from "./libRawBinding.mjs";
import {
  DEVELOPED,
  develop,
  isWorn,
  lastFile,
  openedFile,
  openFile,
  UNPROCESSED,
  unpack,
} from "./libRawFile.mjs";

/** @import { DevelopAnswer, OpenAnswer } from "./libRaw.ts" */

await startLate(() =>
  startLibRaw(readFileSync(fileURLToPath(import.meta.resolve("libraw-wasm/dist/libraw.wasm")))),
);

/**
 * Starts a WebAssembly module whose functions V8 optimises only when they have run for longer. V8 11 (Node 20) optimises after a seventh of
 * what later versions wait for: half of LibRaw, for 40 MB that it never returns and a tenth of the time of a short run.
 *
 * @param {() => Promise<void>} start
 */
async function startLate(start) {
  if (Number.parseInt(process.versions.v8, 10) > 11) return start();
  /** @param {number} bytes - of code run, both V8's own figures: of version 12 and of version 11 */
  const optimiseAfter = (bytes) => setFlagsFromString(`--wasm-tiering-budget=${bytes}`);
  optimiseAfter(13_000_000);
  try {
    await start();
  } finally {
    optimiseAfter(1_800_000);
  }
}

/** Largest file that is read into memory, as `readBytes` has it: 1 GiB. */
const MOST_BYTES = 2 ** 30;

/**
 * Reads a file whole; it may have become shorter.
 *
 * @param {Uint8Array} place
 * @param {number} descriptor
 */
function readInto(place, descriptor) {
  let read = 0;
  while (read < place.length) {
    const bytes = readSync(descriptor, place, read, place.length - read, read);
    if (bytes === 0) break;
    read += bytes;
  }
  return place.subarray(0, read);
}

/**
 * @param {{ input: string | Uint8Array, pixels: boolean }} request
 * @param {object} settings
 * @returns {{ file: Uint8Array | null } & Omit<OpenAnswer, "file">}
 */
function openFrom({ input, pixels }, settings = pixels ? UNPROCESSED : {}) {
  const answer = { file: null, metadata: null, tooLong: false, unreadable: null };
  /** @type {number | null} */
  let descriptor = null;
  try {
    if (typeof input !== "string") {
      if (input.length > MOST_BYTES) return { ...answer, tooLong: true };
      openFile(input.length, settings, (place) => {
        place.set(input);
        return place;
      });
    } else {
      descriptor = openSync(input, "r");
      const { size } = fstatSync(descriptor);
      if (size > MOST_BYTES) return { ...answer, tooLong: true };
      const from = descriptor;
      openFile(size, settings, (place) => readInto(place, from));
    }
    return { ...answer, ...openedFile() };
  } catch (error) {
    if (error instanceof BindingChanged) throw error;
    if (isSystemError(error)) return { ...answer, unreadable: { code: error.code } };
    // C++ exceptions arrive as bare pointers: that it could not be opened is all that can be said.
    return { ...answer, file: lastFile() };
  } finally {
    if (descriptor !== null) closeSync(descriptor);
  }
}

/**
 * @param {unknown} error
 * @returns {error is { code: string }}
 */
function isSystemError(error) {
  return error instanceof Error && "syscall" in error;
}

/**
 * @param {{ input: string | Uint8Array, mostSamples: number }} request
 * @returns {DevelopAnswer} the sensor with three colours at every position, black left in
 */
function developFrom({ input, mostSamples }) {
  const { tooLong, unreadable, metadata } = openFrom({ input, pixels: true }, DEVELOPED);
  if (metadata !== null) return { tooLong, unreadable, ...develop({ mostSamples }) };
  return { tooLong, unreadable, stage: "unpack", sensor: null, left: 0, top: 0 };
}

parentPort?.on("message", (request) => {
  if (request.open) {
    const value = openFrom(request.open);
    parentPort?.postMessage({ value, spoilt: value.metadata === null || isWorn() });
    return;
  }
  const { develop: developing } = request;
  const value = developing ? developFrom(developing) : unpack(request.unpack);
  const { buffer } = value.sensor?.samples ?? {};
  // What lies in LibRaw's memory is shared.
  const handed = buffer instanceof ArrayBuffer ? [buffer] : [];
  // Developing takes several times the memory of unpacking, and only the worker's end gives back what that grew by.
  const spoilt = value.stage === "unpack" || (developing ? hasGrown() : isWorn());
  parentPort?.postMessage({ value, spoilt }, handed);
});
