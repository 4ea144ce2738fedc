import sharp from "sharp";

sharp.cache(false);
sharp.concurrency(1);

/**
 * Decodes every file in full and throws the pixels away: what grading is measured against.
 *
 * @param {readonly string[]} paths
 * @param {number} jobs - files in work at once
 */
export async function bareDecodeOf(paths, jobs) {
  const queue = [...paths];
  const work = async () => {
    for (let path = queue.shift(); path !== undefined; path = queue.shift()) {
      await sharp(path, { sequentialRead: true, ignoreIcc: true }).raw().toBuffer();
    }
  };
  await Promise.all(Array.from({ length: jobs }, work));
}
