import { fileURLToPath } from "node:url";
import { pictures } from "../pictures.mjs";
import { rawFile } from "../rawFile.mjs";
import { JOBS } from "../timing.mjs";
import { treeMemory } from "../treeMemory.mjs";

/**
 * The most memory of processes of their own and of those that they start, by how they grade and how many frames.
 *
 * @param {{ short: boolean }} how
 */
export async function measure({ short }) {
  const [megapixels, frames, many, raws] = short ? [5, 1, 2, 2] : [24, 12, 200, 40];
  const paths = await pictures(frames, { megapixels });
  const modes = ["exact", "standard", "quick"];
  const rows = [];
  for (const count of [frames, many]) {
    rows.push(await row(`${count} JPEGs`, "bare decode", repeated(paths, count)));
    for (const mode of modes) {
      rows.push(await row(`${count} JPEGs`, mode, repeated(paths, count)));
    }
  }
  const raw = [await rawFile(megapixels, "plain")];
  rows.push(await row(`${raws} raw files`, "standard", repeated(raw, raws)));
  return {
    about: `Files of ${megapixels} megapixels, ${JOBS} in work at once: the most that the process and those that it grades by held together, looked at 25 times a second. PSS counts memory that processes share once, RSS once for each. The aims for many frames: 300 MB of PSS, 350 MB for raw files.`,
    rows,
  };
}

const SCRIPT = fileURLToPath(new URL("../memoryScript.mjs", import.meta.url));

/**
 * @param {readonly string[]} paths
 * @param {number} count
 */
function repeated(paths, count) {
  return Array.from({ length: count }, (_, i) => paths[i % paths.length]);
}

/**
 * @param {string} files
 * @param {string} mode
 * @param {readonly (string | undefined)[]} sources
 */
async function row(files, mode, sources) {
  const memory = await treeMemory([SCRIPT], { PATHS: JSON.stringify(sources), MODE: mode });
  return {
    files,
    mode,
    "PSS, MB": memory ? memory.pss.toFixed(0) : "not reported by this system",
    "RSS, MB": memory ? memory.rss.toFixed(0) : "",
    processes: memory ? memory.processes : "",
  };
}
