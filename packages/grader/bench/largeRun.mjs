import { spawnSync } from "node:child_process";
import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import sharp from "sharp";

const COMMAND = fileURLToPath(new URL("../dist/cli.js", import.meta.url));
const PEAK = "peak of the process, kilobytes:";
const TELL_PEAK = `data:text/javascript,process.on("exit",()=>process.stderr.write("\\n${PEAK}"+process.resourceUsage().maxRSS));`;

/**
 * Does memory stay flat over 10,000 frames, and what do a journal and the cache cost and save? Small frames, so that what
 * is not decoding shows; each run is the built command in a process of its own.
 */
export async function largeRun({ frames = 10_000 } = {}) {
  const folder = await mkdtemp(join(tmpdir(), "tonefall large run "));
  try {
    const [all, tenth] = [join(folder, "all"), join(folder, "tenth")];
    await makeFrames(all, frames);
    await makeFrames(tenth, Math.round(frames / 10));
    const cache = join(folder, "cache");
    const journal = ["--resume", join(folder, "journal")];
    const run = (title, shoot, count, args, env = {}) =>
      measured(
        title,
        count,
        ["grade", shoot, "--place", "-1", "-o", join(folder, "out"), ...args],
        env,
      );
    const some = Math.round(frames / 10);
    return [
      run("csv", tenth, some, ["-f", "csv"]),
      run("csv", all, frames, ["-f", "csv"]),
      run("json", all, frames, ["-f", "json"]),
      run("table", all, frames, ["-f", "table"]),
      run("csv, with a journal", all, frames, ["-f", "csv", ...journal]),
      run("csv, from the whole journal", all, frames, ["-f", "csv", ...journal]),
      run("csv, into an empty cache", all, frames, ["-f", "csv"], { TONEFALL_CACHE: cache }),
      run("csv, from the cache", all, frames, ["-f", "csv"], { TONEFALL_CACHE: cache }),
    ];
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/** One picture under many names, with a number after its end, which no decoder reads and every hash tells apart. */
async function makeFrames(folder, count) {
  await mkdir(folder);
  const picture = await sharp({
    create: { width: 300, height: 200, channels: 3, background: { r: 90, g: 120, b: 60 } },
  })
    .jpeg()
    .toBuffer();
  for (let i = 1; i <= count; i++) {
    await writeFile(join(folder, `IMG_${i}.jpg`), Buffer.concat([picture, Buffer.from(`${i}`)]));
  }
}

function measured(title, frames, args, env) {
  const start = performance.now();
  const { status, stderr } = spawnSync(
    process.execPath,
    ["--import", TELL_PEAK, COMMAND, ...args],
    { encoding: "utf8", env: { ...process.env, TONEFALL_CACHE: "", ...env } },
  );
  if (status !== 0) throw new Error(stderr);
  const seconds = (performance.now() - start) / 1000;
  return {
    run: title,
    frames,
    seconds: Number(seconds.toFixed(1)),
    "frames a second": Math.round(frames / seconds),
    "peak memory, MB": Math.round(Number(stderr.split(PEAK)[1]) / 1024),
  };
}
