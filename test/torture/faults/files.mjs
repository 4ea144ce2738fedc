import { writeFile } from "node:fs/promises";
import { basename, join } from "node:path";
import { mutate } from "../mutate.mjs";
import { foundIn, seedFiles } from "../seedFiles.mjs";
import { victim } from "../sendTo.mjs";

/** Small files have small time: what takes longer here would take minutes on a photograph. */
const LIMITS = { timeLimitSeconds: 10, maxMegapixels: 40 };

/** Of 10,000 files, and of some 285 in the short form. A raw file takes the longest, its worker being replaced each time. */
/** @type {Record<string, number>} */
const MUTANTS = { jpeg: 2600, tiff: 2200, png: 1800, webp: 1200, avif: 800, heic: 700, raw: 700 };
/** @type {Record<string, number>} */
const SHORT = { jpeg: 90, tiff: 90, png: 80, heic: 20, raw: 5 };

/** Peak of a process that grades damaged files one after another, bytes: two decoders and their largest pictures. */
const MOST_MEMORY = 1.5e9;

const PROMISE = "a row or a failure in words; no crash, no hang, memory bounded";

/** @typedef {import("../trial.mjs").Trial} Trial */

/**
 * Files that others have collected because they broke a reader, and thousands made from sound ones.
 *
 * @type {readonly import("../trial.mjs").Fault[]}
 */
export const fileFaults = [
  {
    slow: true,
    name: "malformed files of the corpus",
    promise: PROMISE,
    run: async ({ corpus, folder, keep }) => {
      if (!corpus) return { skipped: "no folder of real photographs" };
      const files = await foundIn(["malformed", "raw/header_only"], corpus, 1e7);
      return tally(
        files.map(({ path, bytes }) => ({ name: basename(path), bytes })),
        folder,
        keep,
      );
    },
  },
  ...Object.entries(MUTANTS).map(([format, most]) => ({
    slow: SHORT[format] === undefined,
    name: `damaged ${format === "raw" ? "raw files" : `${format.toUpperCase()}s`}`,
    promise: PROMISE,
    /** @param {Trial} trial */
    run: async ({ short, seed, corpus, folder, keep }) => {
      /** @type {Record<string, Buffer[]>} */
      const all = await soundFiles(corpus);
      const seeds = all[format];
      // Spliced with any format: a reader that trusts the first bytes meets another's.
      const others = Object.values(all).flat();
      const count = short ? SHORT[format] : most;
      const files = function* () {
        for (let index = 0; index < count; index++) {
          const own = mixed(seed, format, index);
          const { bytes, changes } = mutate(seeds[index % seeds.length], others, own);
          if (bytes.length > 0) yield { name: `${format}-${own}-${changes.join("-")}`, bytes };
        }
      };
      return tally(files(), folder, keep);
    },
  })),
];

/**
 * Made once for all formats.
 *
 * @type {ReturnType<typeof seedFiles> | undefined}
 */
let made;

/** @param {string | null} corpus */
function soundFiles(corpus) {
  made ??= seedFiles(corpus);
  return made;
}

/**
 * A seed for each file, so that one can be made again alone.
 *
 * @param {number} seed
 * @param {string} format
 * @param {number} index
 */
function mixed(seed, format, index) {
  let hash = seed;
  for (const character of `${format}/${index}`) {
    hash = Math.imul(hash ^ Number(character.codePointAt(0)), 0x01000193) >>> 0;
  }
  return hash;
}

/**
 * Sends every other file as bytes and the rest by path, and counts what became of them.
 *
 * @param {Iterable<{ name: string, bytes: Uint8Array }>} files
 * @param {string} folder
 * @param {Trial["keep"]} keep
 */
async function tally(files, folder, keep) {
  const { send, end, peak } = victim(LIMITS);
  /** @type {string[]} */
  const broken = [];
  let sent = 0;
  const counts = { graded: 0, refused: 0 };
  for (const { name, bytes } of files) {
    const path = sent++ % 2 === 0 ? null : join(folder, "damaged");
    if (path) await writeFile(path, bytes);
    const answer = await send(path ?? bytes);
    if (answer.broken) {
      broken.push(`${name}: ${answer.broken}`);
      await keep(name, bytes);
    } else counts[answer.code === null ? "graded" : "refused"]++;
  }
  end();
  const memory = `peak ${Math.round(peak.rss / 1e6)} MB`;
  return {
    held: broken.length === 0 && peak.rss <= MOST_MEMORY,
    what: `${counts.graded} graded, ${counts.refused} refused, ${memory}`,
    broken,
  };
}
