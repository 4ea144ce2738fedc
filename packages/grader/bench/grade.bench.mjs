// How much does grading cost beside a bare decode of the same files? Both run in turn, in one process, at the same
// concurrency; only the ratio is worth quoting. `npm run bench` prints the table that DEVELOPERS.md explains.
import { spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { availableParallelism, cpus } from "node:os";
import { fileURLToPath } from "node:url";
import { gradeFrames } from "@tonefall/grader";
import createLibRaw from "libraw-wasm/dist/libraw.js";
import sharp from "sharp";
import { picturesOf24Megapixels } from "./picturesOf24Megapixels.mjs";
import { rawOf24Megapixels } from "./rawOf24Megapixels.mjs";
import { reportOf2000Frames } from "./reportOf2000Frames.mjs";

const FRAMES = 12;
const ROUNDS = 5;
const RAW_FRAMES = 4;
const LONG_RUN = 200;
const JOBS = availableParallelism();

sharp.cache(false);
sharp.concurrency(1);

/** Decodes every file in full and throws the pixels away. */
async function bareDecode(paths) {
  const queue = [...paths];
  const work = async () => {
    for (let path = queue.shift(); path !== undefined; path = queue.shift()) {
      await sharp(path, { sequentialRead: true, ignoreIcc: true }).raw().toBuffer();
    }
  };
  await Promise.all(Array.from({ length: JOBS }, work));
}

async function grade(paths, brief, jobs) {
  for await (const { failure } of gradeFrames(paths, brief, { jobs })) {
    if (failure) throw new Error(failure.message);
  }
}

const library = await createLibRaw({
  wasmBinary: readFileSync(fileURLToPath(import.meta.resolve("libraw-wasm/dist/libraw.wasm"))),
  print() {},
  printErr() {},
});

/** Reads and unpacks raw files with the same LibRaw, one after another, and throws the samples away. */
async function bareUnpack(paths) {
  for (const path of paths) {
    const raw = new library.LibRaw();
    raw.open(new Uint8Array(await readFile(path)), {});
    raw.rawImageData();
    raw.delete();
  }
}

async function timed(work) {
  const before = process.cpuUsage();
  const start = performance.now();
  await work();
  const wall = performance.now() - start;
  const { user, system } = process.cpuUsage(before);
  return { wall, cpu: (user + system) / 1000 };
}

async function compare(title, paths, brief, { decode = bareDecode, jobs = JOBS } = {}) {
  const ratios = [];
  for (let round = 0; round <= ROUNDS; round++) {
    const bare = await timed(() => decode(paths));
    const graded = await timed(() => grade(paths, brief, jobs));
    // The first round warms code and disk.
    if (round > 0)
      ratios.push({ wall: graded.wall / bare.wall, cpu: graded.cpu / bare.cpu, bare, graded });
  }
  const row = {
    mode: title,
    "wall ratio": spread(ratios.map(({ wall }) => wall)),
    "cpu ratio": spread(ratios.map(({ cpu }) => cpu)),
    "bare, ms a frame": median(ratios.map(({ bare }) => bare.wall / paths.length)).toFixed(0),
    "graded, ms a frame": median(ratios.map(({ graded }) => graded.wall / paths.length)).toFixed(0),
  };
  return row;
}

/** Peak memory of grading so many frames, in a process of its own. */
function peakMegabytes(count) {
  const script = `
    import { gradeFrames } from ${JSON.stringify(import.meta.resolve("@tonefall/grader"))};
    const paths = JSON.parse(process.env.PATHS);
    const sources = Array.from({ length: ${count} }, (_, i) => paths[i % paths.length]);
    for await (const _ of gradeFrames(sources, { place: 0 }, { jobs: ${JOBS} }));
    console.log(Math.round(process.resourceUsage().maxRSS / 1024));`;
  const run = spawnSync(process.execPath, ["--input-type=module", "--eval", script], {
    encoding: "utf8",
    cwd: fileURLToPath(new URL("..", import.meta.url)),
    env: { ...process.env, PATHS: JSON.stringify(plain) },
  });
  if (run.status !== 0) throw new Error(run.stderr);
  return Number(run.stdout);
}

function median(values) {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)];
}

function spread(values) {
  return `${median(values).toFixed(2)} (${Math.min(...values).toFixed(2)} to ${Math.max(...values).toFixed(2)})`;
}

const plain = await picturesOf24Megapixels(FRAMES);
const raw = Array.from({ length: RAW_FRAMES }).fill(await rawOf24Megapixels());
const profiled = await picturesOf24Megapixels(FRAMES, { profile: true });
console.log(
  `${cpus()[0]?.model}, ${JOBS} processors, Node ${process.version}, sharp ${sharp.versions.sharp}`,
);
console.log(
  `${FRAMES} JPEGs of 24 megapixels, ${JOBS} in work at once, ${ROUNDS} rounds: median (least to most)\n`,
);
console.table([
  await compare("whole frame", plain, { place: 0 }),
  await compare("spot", plain, { place: 0, region: "spot" }),
  await compare("whole frame, embedded profile", profiled, { place: 0 }),
  // One at a time on both sides: the bare unpack has one thread.
  await compare(
    "raw, beside LibRaw's bare unpack",
    raw,
    { place: 0 },
    { decode: bareUnpack, jobs: 1 },
  ),
]);
console.table([
  { frames: FRAMES, "peak memory, MB": peakMegabytes(FRAMES) },
  { frames: LONG_RUN, "peak memory, MB": peakMegabytes(LONG_RUN) },
]);

const { pages, ...run } = await reportOf2000Frames();
console.log(
  "\nA report of 2,000 frames of half a megapixel: the index, and the first page of cards",
);
console.table([run]);
console.table(pages);
