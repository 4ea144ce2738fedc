import { mkdtemp, open, readdir, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { readFrames } from "@tonefall/grader";
import { smallJpegs } from "../smallJpegs.mjs";
import { inTurn, JOBS, ratios } from "../timing.mjs";

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
    const made = await smallJpegs(folder, count);
    const paths = (await readdir(made)).map((name) => join(made, name));
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
