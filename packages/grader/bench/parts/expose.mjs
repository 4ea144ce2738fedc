import { rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { encodeFrame, exposeFrame, makeFrames, openCapture, writePlace } from "@tonefall/grader";
import { rawFile } from "../rawFile.mjs";

const OFFSETS = [-4, -3, -2, -1, 0, 1, 2, 3, 4];

/** It takes a minute, which a short run has not. */
export const long = true;

/** A series of nine frames from one raw file, beside one decode and nine encodes. */
export async function measure() {
  const path = await rawFile(24, "lossless");
  const start = performance.now();
  const capture = await openCapture(path);
  const decode = performance.now() - start;
  const frame = await exposeFrame(capture, { by: 0 });
  const encode = await timed(async () => {
    for (const _ of OFFSETS) await encodeFrame(frame);
  });
  const places = OFFSETS.map((_, i) => join(tmpdir(), `tonefall-bench-expose-${i}.jpg`));
  const series = await timed(async () => {
    const wanted = OFFSETS.map((bracket, i) => ({
      asked: { by: 0, bracket },
      place: writePlace({ path: places[i], kind: "made-frame", force: true }),
    }));
    for await (const _ of makeFrames(await openCapture(path), wanted));
  });
  for (const place of places) await rm(place, { force: true });
  const bare = decode + encode;
  return {
    about:
      "A bracket of nine frames from one lossless raw file of 24 megapixels, beside one decode and nine encodes of its middle frame in the same process.",
    rows: [
      { what: "one decode", "wall, s": (decode / 1000).toFixed(1), ratio: "" },
      { what: "nine encodes", "wall, s": (encode / 1000).toFixed(1), ratio: "" },
      {
        what: "the series",
        "wall, s": (series / 1000).toFixed(1),
        ratio: (series / bare).toFixed(2),
      },
    ],
  };
}

/** @param {() => Promise<void>} work */
async function timed(work) {
  const start = performance.now();
  await work();
  return performance.now() - start;
}
