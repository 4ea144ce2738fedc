import { readFileSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import createLibRaw from "libraw-wasm/dist/libraw.js";
import { rawFile } from "../rawFile.mjs";
import { grade, inTurn, ratios } from "../timing.mjs";

/** Grading raw files beside the bare unpack by the same build of LibRaw. */
export async function measure({ short }) {
  const [frames, megapixels, rounds] = short ? [1, 5, 1] : [4, 24, 5];
  const paths = Array.from({ length: frames }).fill(await rawFile(megapixels));
  const library = await createLibRaw({
    wasmBinary: readFileSync(fileURLToPath(import.meta.resolve("libraw-wasm/dist/libraw.wasm"))),
    print() {},
    printErr() {},
  });
  const bareUnpack = async () => {
    for (const path of paths) {
      const raw = new library.LibRaw();
      raw.open(new Uint8Array(await readFile(path)), {});
      raw.rawImageData();
      raw.delete();
    }
  };
  // One at a time on both sides: the bare unpack has one thread.
  const works = {
    "bare unpack": bareUnpack,
    exact: () => grade(paths, { place: 0 }, { jobs: 1, precision: "exact" }),
    standard: () => grade(paths, { place: 0 }, { jobs: 1 }),
  };
  const times = await inTurn(works, rounds);
  return {
    about: `${frames} uncompressed DNGs of ${megapixels} megapixels, one in work at a time, ${rounds} rounds in turn: median (least to most).`,
    rows: Object.keys(works).map((mode) => ({ mode, ...ratios(times[mode], frames) })),
  };
}
