// @ts-nocheck
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { isMainThread, parentPort, Worker } from "node:worker_threads";
import createLibRaw from "libraw-wasm/dist/libraw.js";

/** LibRaw by itself, the build that the grader uses. */
export function bareLibRaw() {
  const wasm = fileURLToPath(import.meta.resolve("libraw-wasm/dist/libraw.wasm"));
  return createLibRaw({ wasmBinary: readFileSync(wasm), print() {}, printErr() {} });
}

/** The sensor of a raw file, as LibRaw hands it out. */
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

  constructor(jobs) {
    this.#workers = Array.from({ length: jobs }, () => new Worker(new URL(import.meta.url)));
  }

  async all(paths) {
    const queue = [...paths];
    const work = async (worker) => {
      for (let path = queue.shift(); path !== undefined; path = queue.shift()) {
        await new Promise((resolve, reject) => {
          worker.once("message", (error) => (error ? reject(new Error(error)) : resolve()));
          worker.postMessage(path);
        });
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
  parentPort.on("message", (path) => {
    try {
      const { data } = unpacked(library, readFileSync(path));
      parentPort.postMessage(data.length > 0 ? null : `No samples in ${path}`);
    } catch {
      parentPort.postMessage(`LibRaw cannot unpack ${path}`);
    }
  });
}
