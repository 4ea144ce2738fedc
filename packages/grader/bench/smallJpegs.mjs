import { mkdir, readdir, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import sharp from "sharp";

const SAMPLES = fileURLToPath(new URL("../../../samples/harbour", import.meta.url));

/**
 * Makes a folder of small JPEGs with the sample set's own metadata, each under many names: a file of its own under each, with a
 * number after its end, which no decoder reads and every hash tells apart.
 *
 * @param {string} within - the folder to make it in
 * @param {number} count
 * @param {number} [width] - pixels
 * @returns {Promise<string>} its path
 */
export async function smallJpegs(within, count, width = 240) {
  const folder = join(within, `jpegs ${width} ${count}`);
  await mkdir(folder);
  const names = (await readdir(SAMPLES)).filter((name) => name.endsWith(".jpg")).sort();
  const small = await Promise.all(
    names.map(async (name) =>
      sharp(await readFile(join(SAMPLES, name)))
        .resize(width)
        .keepMetadata()
        .jpeg()
        .toBuffer(),
    ),
  );
  for (let i = 0; i < count; i++) {
    const picture = /** @type {Buffer} */ (small[i % small.length]);
    await writeFile(join(folder, `frame-${i}.jpg`), Buffer.concat([picture, Buffer.from(`${i}`)]));
  }
  return folder;
}
