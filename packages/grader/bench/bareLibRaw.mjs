import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { isMainThread, parentPort, Worker } from "node:worker_threads";
// @ts-expect-error: the compiled module carries no types; those that are used stand below
import createLibRaw from "libraw-wasm/dist/libraw.js";

/**
 * @typedef {object} RawFile
 * @property {(bytes: Uint8Array, settings: object) => void} open
 * @property {() => { data: Uint16Array }} rawImageData
 * @property {() => void} delete
 */

/** @typedef {{ LibRaw: new () => RawFile }} BareLibRaw */

/**
 * LibRaw by itself, the build that the grader uses.
 *
 * @returns {Promise<BareLibRaw>}
 */
export function bareLibRaw() {
  const wasm = fileURLToPath(import.meta.resolve("libraw-wasm/dist/libraw.wasm"));
  return createLibRaw({ wasmBinary: readFileSync(wasm), print() {}, printErr() {} });
}

/**
 * The sensor of a raw file, as LibRaw hands it out.
 *
 * @param {BareLibRaw} library
 * @param {Uint8Array} bytes
 */
export function unpacked(library, bytes) {
  const raw = new library.LibRaw();
  try {
    raw.open(bytes, {});
    return raw.rawImageData();
  } finally {
    raw.delete();
  }
}

/** Threads with a LibRaw each, that read and unpack files and throw the samples away: what grading is measured against. */
export class BareUnpack {
  #workers;

  /** @param {number} jobs */
  constructor(jobs) {
    this.#workers = Array.from({ length: jobs }, () => new Worker(new URL(import.meta.url)));
  }

  /** @param {readonly string[]} paths */
  async all(paths) {
    const queue = [...paths];
    /** @param {Worker} worker */
    const work = async (worker) => {
      for (let path = queue.shift(); path !== undefined; path = queue.shift()) {
        await /** @type {Promise<void>} */ (
          new Promise((resolve, reject) => {
            worker.once("message", (error) => (error ? reject(new Error(error)) : resolve()));
            worker.postMessage(path);
          })
        );
      }
    };
    await Promise.all(this.#workers.map(work));
  }

  async end() {
    await Promise.all(this.#workers.map((worker) => worker.terminate()));
  }
}

if (!isMainThread) {
  const library = await bareLibRaw();
  parentPort?.on("message", (path) => {
    try {
      const { data } = unpacked(library, readFileSync(path));
      parentPort?.postMessage(data.length > 0 ? null : `No samples in ${path}`);
    } catch {
      parentPort?.postMessage(`LibRaw cannot unpack ${path}`);
    }
  });
}
