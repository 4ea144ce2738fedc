import { fileURLToPath } from "node:url";
import { HEIC } from "../seedFiles.mjs";
import { victim } from "../sendTo.mjs";
import { soundPicture } from "./fileSystem.mjs";

const RAW = fileURLToPath(
  new URL("../../../samples/harbour/29-slip-and-boathouse.dng", import.meta.url),
);
const HEIC_FILE = fileURLToPath(new URL("420.heic", HEIC));
const KILLER = new URL("../killWorker.mjs", import.meta.url).href;

/** Decoders that die or take for ever: the frame says so, and the next is decoded as if nothing had been. */
export const decoderFaults = [
  .../** @type {const} */ (["raw", "HEIC"]).map((kind) => ({
    slow: kind !== "raw",
    name: `the ${kind} decoder's thread dies`,
    promise: "its frame fails as decode-failed; the next is graded by a new thread",
    run: async () => {
      const file = { raw: RAW, HEIC: HEIC_FILE }[kind];
      const { send, end } = victim({
        timeLimitSeconds: 60,
        maxMegapixels: 50,
        execArgv: ["--import", KILLER],
      });
      const codes = [await send(file), await send(file)].map(
        ({ code, broken }) => broken ?? code ?? "graded",
      );
      end();
      return { held: codes.join() === "decode-failed,graded", what: codes.join(", then ") };
    },
  })),
  .../** @type {const} */ (["JPEG", "raw", "HEIC"]).map((kind) => ({
    slow: true,
    name: `decoding a ${kind} takes longer than it may`,
    promise: "took-too-long; with time it is graded, in the same process",
    run: async () => {
      const file = { JPEG: await soundPicture(), raw: RAW, HEIC: HEIC_FILE }[kind];
      const { send, end } = victim({ timeLimitSeconds: 60, maxMegapixels: 50 });
      const hurried = await send(file, { timeLimitSeconds: 0.0001 });
      const codes = [hurried, await send(file)].map(
        ({ code, broken }) => broken ?? code ?? "graded",
      );
      end();
      return { held: codes.join() === "took-too-long,graded", what: codes.join(", then ") };
    },
  })),
];
