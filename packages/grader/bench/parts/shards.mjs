import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import sharp from "sharp";
import { gradeFrame } from "../../dist/index.js";
import { summedRow } from "../../dist/run/summedRow.js";
import { megabytes, startedProcess } from "../startedProcess.mjs";

const COMMAND = fileURLToPath(new URL("../../dist/cli.js", import.meta.url));

/**
 * Does the memory of a merge stay flat, however many parts a run had?
 *
 * @param {{ short: boolean }} options
 */
export async function measure({ short }) {
  const rows = [];
  for (const [parts, frames] of short
    ? [[4, 5]]
    : [
        [10, 20],
        [100, 20],
        [1000, 20],
        [1000, 100],
      ]) {
    rows.push(await merged(parts, frames));
  }
  return {
    about:
      "Parts of a split run joined into csv by one process, its start included: rows of a made frame, in files as `grade --shard` writes them.",
    rows,
  };
}

/**
 * @param {number} parts
 * @param {number} framesOfPart
 */
async function merged(parts, framesOfPart) {
  const folder = await mkdtemp(join(tmpdir(), "tonefall parts "));
  try {
    const row = await madeRow();
    const frames = parts * framesOfPart;
    const paths = [];
    for (let index = 1; index <= parts; index++) {
      const first = (index - 1) * framesOfPart + 1;
      const last = index * framesOfPart;
      const part = { index, of: parts, frames, first, last, folder: "term/", run: "0".repeat(64) };
      const lines = [];
      for (let place = first; place <= last; place++) {
        const own = { ...row, file: `term/IMG_${place}.jpg` };
        const summed = summedRow(own, { ...part, place, voice: null });
        lines.push(`${JSON.stringify({ schemaVersion: 1, ...summed })}\n`);
      }
      paths.push(join(folder, `part-${index}.ndjson`));
      await writeFile(paths.at(-1), lines.join(""));
    }
    const start = performance.now();
    const { peakMegabytes } = startedProcess(
      [COMMAND, "merge", ...paths, "-f", "csv", "-o", join(folder, "all.csv")],
      {},
    );
    const seconds = (performance.now() - start) / 1000;
    return {
      parts,
      frames,
      "frames a second": Math.round(frames / seconds),
      "peak memory, MB": megabytes(peakMegabytes),
    };
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

async function madeRow() {
  const background = { r: 90, g: 120, b: 60 };
  const picture = sharp({ create: { width: 300, height: 200, channels: 3, background } });
  return gradeFrame(await picture.jpeg().toBuffer(), { place: -1 });
}
