import { existsSync } from "node:fs";
import { readdir, readFile, stat } from "node:fs/promises";
import { extname, join } from "node:path";
import { fileURLToPath } from "node:url";
import sharp from "sharp";

const HARBOUR = fileURLToPath(new URL("../../samples/harbour/", import.meta.url));

/** Small HEIC pictures; test/encodedPictures.ts says how they were made. */
export const HEIC = new URL("../reference/heic/", import.meta.url);

/** Larger files of the corpus are left alone: what matters stands in headers, and small files are tried sooner. */
const LARGEST_BYTES = 500_000;

const FORMATS = {
  jpeg: [".jpg", ".jpeg"],
  tiff: [".tif", ".tiff"],
  png: [".png"],
  webp: [".webp"],
  avif: [".avif"],
  heic: [".heic", ".heif", ".hif"],
  raw: [".dng", ".nef", ".cr2", ".cr3", ".raf", ".rw2", ".crw", ".x3f"],
};

/**
 * Sound files of every format that is read: small pictures made here, and those of the corpus where there is one.
 *
 * @param {string | null} corpus
 * @returns {Promise<Record<keyof typeof FORMATS, Buffer[]>>}
 */
export async function seedFiles(corpus) {
  const made = await madeHere();
  const found = corpus ? await foundIn(["metadata", "color", "orientation", "raw"], corpus) : [];
  const seeds = Object.entries(FORMATS).map(([format, extensions]) => [
    format,
    [
      ...made[format],
      ...found
        .filter(({ path }) => extensions.includes(extname(path).toLowerCase()))
        .map(({ bytes }) => bytes),
    ],
  ]);
  return Object.fromEntries(seeds);
}

/** @returns {Promise<Record<string, Buffer[]>>} */
async function madeHere() {
  const sound = await readFile(join(HARBOUR, "01-tarred-hull-as-metered.jpg"));
  const small = () => sharp(sound).resize(96, 64).keepMetadata();
  const deep = () => small().toColourspace("rgb16");
  /** @param {readonly import("sharp").Sharp[]} pipelines */
  const all = (...pipelines) => Promise.all(pipelines.map((pipeline) => pipeline.toBuffer()));
  return {
    jpeg: await all(
      small().jpeg(),
      small().jpeg({ progressive: true }),
      small().withIccProfile("p3").jpeg({ chromaSubsampling: "4:4:4" }),
      small().greyscale().jpeg(),
      small().toColourspace("cmyk").jpeg(),
    ),
    tiff: await all(
      small().tiff({ compression: "none" }),
      small().tiff({ compression: "lzw", predictor: "horizontal" }),
      small().tiff({ compression: "deflate", tile: true, tileWidth: 16, tileHeight: 16 }),
      small().tiff({ compression: "jpeg" }),
      deep().tiff({ compression: "deflate" }),
    ),
    png: await all(
      small().png(),
      small().png({ palette: true }),
      small().png({ progressive: true }),
      small().withIccProfile("p3").png(),
      deep().png(),
    ),
    webp: await all(
      small().webp(),
      small().webp({ lossless: true }),
      small().ensureAlpha(0.5).webp(),
    ),
    avif: await all(small().avif({ effort: 0 }), small().avif({ effort: 0, bitdepth: 10 })),
    heic: await heicFiles(),
    raw: [await readFile(join(HARBOUR, "29-slip-and-boathouse.dng"))],
  };
}

/** HEIC is kept ready made: nothing here writes it. */
function heicFiles() {
  const names = ["420", "10-bit", "rgb-lossless", "exif-and-profile"];
  return Promise.all(names.map((name) => readFile(new URL(`${name}.heic`, HEIC))));
}

/**
 * Files below some folders of the corpus that are not too large, in the order of their paths.
 *
 * @param {readonly string[]} folders
 * @param {string} corpus
 * @returns {Promise<{ path: string, bytes: Buffer }[]>}
 */
export async function foundIn(folders, corpus, largestBytes = LARGEST_BYTES) {
  const found = [];
  for (const folder of folders
    .map((name) => join(corpus, name))
    .filter((path) => existsSync(path))) {
    const names = await readdir(folder, { recursive: true });
    for (const path of names.sort().map((name) => join(folder, name))) {
      const entry = await stat(path);
      if (!entry.isFile() || entry.size === 0 || entry.size > largestBytes) continue;
      found.push({ path, bytes: await readFile(path) });
    }
  }
  return found;
}
