import { link, mkdir, mkdtemp, readdir, rm } from "node:fs/promises";
import { extname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { pictures } from "../pictures.mjs";
import { rawFile } from "../rawFile.mjs";
import { JOBS } from "../timing.mjs";
import { treeMemory } from "../treeMemory.mjs";

/** @param {string} path - within this package */
const file = (path) => fileURLToPath(new URL(`../../${path}`, import.meta.url));

const COMMAND = file("dist/cli.js");
const BARE = file("bench/bareDecodeScript.mjs");

/**
 * The most memory of the command and of the processes that it starts, by how it grades and how many frames.
 *
 * @param {{ short: boolean }} how
 */
export async function measure({ short }) {
  const [megapixels, frames, many, raws] = short ? [5, 1, 2, 2] : [24, 12, 200, 40];
  const paths = await pictures(frames, { megapixels });
  const rows = [];
  for (const count of [frames, many]) {
    rows.push(...(await rowsOf(`${count} JPEGs`, paths, count)));
  }
  const raw = [await rawFile(megapixels, "plain")];
  rows.push(...(await rowsOf(`${raws} raw files`, raw, raws)));
  return {
    about: `The command over files of ${megapixels} megapixels, ${JOBS} in work at once, without the cache: the most that it and the processes that it starts held together, looked at 25 times a second. PSS counts memory that processes share once, RSS once for each. Names beyond the first ${frames} are links to the same files. The aims for many: 300 MB of PSS, 350 MB for raw files.`,
    rows,
  };
}

/**
 * @param {string} files - what they are
 * @param {readonly string[]} paths
 * @param {number} count
 */
async function rowsOf(files, paths, count) {
  const [first = ""] = paths;
  // Beside the files, since a link cannot lead to another disk.
  const folder = await mkdtemp(`${first} linked `);
  try {
    const shoot = join(folder, "shoot");
    await mkdir(shoot);
    for (let i = 0; i < count; i++) {
      await link(paths[i % paths.length] ?? first, join(shoot, `${i}${extname(first)}`));
    }
    /** @param {readonly string[]} flags */
    const grade = (flags) => [COMMAND, "grade", shoot, ...flags, "--place", "0", "-f", "ndjson"];
    const standard = await row(files, "standard", grade([]));
    if (extname(first) === ".dng") return [standard];
    const names = (await readdir(shoot)).map((name) => join(shoot, name));
    return [
      await row(files, "bare decode", [BARE, `${JOBS}`, ...names]),
      await row(files, "exact", grade(["--exact"])),
      standard,
      await row(files, "quick", grade(["--quick"])),
    ];
  } finally {
    await rm(folder, { recursive: true });
  }
}

/**
 * @param {string} files
 * @param {string} mode
 * @param {readonly string[]} args - Node's
 */
async function row(files, mode, args) {
  const memory = await treeMemory(args, { TONEFALL_CACHE: "" });
  return {
    files,
    mode,
    "PSS, MB": memory ? memory.pss.toFixed(0) : "not reported by this system",
    "RSS, MB": memory ? memory.rss.toFixed(0) : "",
    processes: memory ? memory.processes : "",
  };
}
