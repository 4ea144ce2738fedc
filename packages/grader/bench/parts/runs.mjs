import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import sharp from "sharp";
import { megabytes, startedProcess } from "../startedProcess.mjs";

const COMMAND = fileURLToPath(new URL("../../dist/cli.js", import.meta.url));
/** Without need V8 lets garbage lie; a heap of this size, in MB, is too small for it. */
const TIGHT = ["--max-old-space-size=64"];

/** @typedef {{ env?: Record<string, string>, node?: string[] }} RunSettings */

/**
 * Does memory stay flat over a large run, and what do a journal and the cache cost and save?
 *
 * @param {{ short: boolean }} how
 */
export async function measure({ short }) {
  const [frames, few] = short ? [40, 10] : [2000, 500];
  const folder = await mkdtemp(join(tmpdir(), "tonefall large run "));
  try {
    const shoots = { [frames]: join(folder, "all"), [few]: join(folder, "few") };
    for (const [count, shoot] of Object.entries(shoots)) await makeFrames(shoot, Number(count));
    const journal = ["--resume", join(folder, "journal")];
    const cached = { env: { TONEFALL_CACHE: join(folder, "cache") } };
    /**
     * @param {string} what
     * @param {number} count
     * @param {readonly string[]} args
     * @param {RunSettings} [options]
     */
    const run = (what, count, args, options) =>
      measured(
        what,
        count,
        ["grade", shoots[count], "--place", "-1", "--force", "-o", join(folder, "out"), ...args],
        options,
      );
    return {
      about:
        "The command over JPEGs of 0.06 megapixels, each run in a process of its own, its start included. Small frames, so that what is not decoding shows.",
      rows: [
        run("csv", few, ["-f", "csv"]),
        run("csv", frames, ["-f", "csv"]),
        run("csv, heap of 64 MB", few, ["-f", "csv"], { node: TIGHT }),
        run("csv, heap of 64 MB", frames, ["-f", "csv"], { node: TIGHT }),
        run("json", frames, ["-f", "json"]),
        run("table", frames, ["-f", "table"]),
        run("csv, with a journal", frames, ["-f", "csv", ...journal]),
        run("csv, from the whole journal", frames, ["-f", "csv", ...journal]),
        run("csv, into an empty cache", frames, ["-f", "csv"], cached),
        run("csv, from the cache", frames, ["-f", "csv"], cached),
      ],
    };
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/**
 * One picture under many names, with a number after its end, which no decoder reads and every hash tells apart.
 *
 * @param {string} folder
 * @param {number} count
 */
async function makeFrames(folder, count) {
  await mkdir(folder);
  const background = { r: 90, g: 120, b: 60 };
  const picture = await sharp({ create: { width: 300, height: 200, channels: 3, background } })
    .jpeg()
    .toBuffer();
  for (let i = 1; i <= count; i++) {
    await writeFile(join(folder, `IMG_${i}.jpg`), Buffer.concat([picture, Buffer.from(`${i}`)]));
  }
}

/**
 * @param {string} run - what the row is called
 * @param {number} frames
 * @param {readonly string[]} args
 * @param {RunSettings} [settings]
 */
function measured(run, frames, args, { env = {}, node = [] } = {}) {
  const start = performance.now();
  const { peakMegabytes, cpuMilliseconds } = startedProcess([...node, COMMAND, ...args], {
    TONEFALL_CACHE: "",
    ...env,
  });
  const seconds = (performance.now() - start) / 1000;
  return {
    run,
    frames,
    "frames a second": Math.round(frames / seconds),
    "processor time, ms a frame": (cpuMilliseconds / frames).toFixed(2),
    "peak memory, MB": megabytes(peakMegabytes),
  };
}
