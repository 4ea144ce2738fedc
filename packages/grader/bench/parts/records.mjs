import { mkdtemp, open, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { readFrames } from "@tonefall/grader";
import sharp from "sharp";
import { inTurn, JOBS, ratios } from "../timing.mjs";

const SAMPLES = fileURLToPath(new URL("../../../../samples/harbour", import.meta.url));
const HEAD_BYTES = 64 * 1024;

/** Records in work at once, on both sides: what reading takes where nothing else is said. */
const IN_WORK = 4 * JOBS;

/**
 * Exposure records of many JPEGs beside a bare read of each file's first 64 KB.
 *
 * @param {{ short: boolean }} how
 */
export async function measure({ short }) {
  const [count, rounds] = short ? [60, 1] : [10_000, 3];
  const folder = await mkdtemp(join(tmpdir(), "tonefall-records-"));
  try {
    const paths = await smallJpegs(folder, count);
    const times = await inTurn(
      {
        "bare read of 64 KB": () => bareRead(paths),
        "exposure record": async () => {
          for await (const { failure } of readFrames(paths, { jobs: IN_WORK })) {
            if (failure) throw new Error(failure.message);
          }
        },
      },
      rounds,
    );
    return {
      about: `${count} JPEGs with the sample set's own metadata, ${IN_WORK} in work at once, ${rounds} rounds in turn: median (least to most).`,
      rows: Object.entries(times).map(([what, of]) => ({
        what,
        ...ratios(of, count),
        "wall, ms a frame": (
          of.reduce((sum, { wall }) => sum + wall, 0) /
          of.length /
          count
        ).toFixed(3),
      })),
    };
  } finally {
    await rm(folder, { recursive: true });
  }
}

/**
 * @param {string} folder
 * @param {number} count
 */
async function smallJpegs(folder, count) {
  const names = (await readdir(SAMPLES)).filter((name) => name.endsWith(".jpg")).sort();
  const small = await Promise.all(
    names.map(async (name) =>
      sharp(await readFile(join(SAMPLES, name)))
        .resize(240)
        .keepMetadata()
        .jpeg()
        .toBuffer(),
    ),
  );
  const paths = Array.from({ length: count }, (_, i) => join(folder, `frame-${i}.jpg`));
  for (const [i, path] of paths.entries()) await writeFile(path, small[i % small.length]);
  return paths;
}

/** @param {readonly string[]} paths */
async function bareRead(paths) {
  const queue = [...paths];
  const work = async () => {
    for (let path = queue.shift(); path !== undefined; path = queue.shift()) {
      const file = await open(path);
      await file.read(Buffer.allocUnsafe(HEAD_BYTES), 0, HEAD_BYTES, 0);
      await file.close();
    }
  };
  await Promise.all(Array.from({ length: IN_WORK }, work));
}
