import { existsSync } from "node:fs";
import { mkdir, readdir } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import sharp from "sharp";

const SAMPLES = fileURLToPath(new URL("../../../samples/harbour", import.meta.url));

/**
 * JPEGs of 3 by 2 made from the sample set: enlarged, with grain of a fixed seed, since smooth pictures decode faster than
 * photographs do. They are made once and kept in the system's folder for temporary files.
 *
 * @param {number} count
 * @param {{ megapixels?: number, profile?: boolean }} [options] - `profile` embeds an sRGB profile
 * @returns {Promise<string[]>} paths
 */
export async function pictures(count, { megapixels = 24, profile = false } = {}) {
  const width = Math.round(Math.sqrt(megapixels * 1.5e6));
  const height = Math.round(width / 1.5);
  const folder = join(tmpdir(), `tonefall-bench-${megapixels}-${profile ? "profile" : "plain"}`);
  await mkdir(folder, { recursive: true });
  const originals = (await readdir(SAMPLES)).filter((name) => name.endsWith(".jpg")).sort();
  const grain = grainOf(1 << 16);
  const paths = [];
  for (let i = 0; i < count; i++) {
    const path = join(folder, `frame-${String(i).padStart(3, "0")}.jpg`);
    paths.push(path);
    if (existsSync(path)) continue;
    const pixels = await sharp(join(SAMPLES, originals[(i * 5) % originals.length]))
      .resize(width, height, { fit: "fill" })
      .raw()
      .toBuffer();
    for (let at = 0; at < pixels.length; at++) {
      const noise = grain[(at * 40503 + (at >>> 7) * 2531 + i * 977) & 0xffff];
      pixels[at] = Math.max(0, Math.min(255, pixels[at] + noise));
    }
    const picture = sharp(pixels, { raw: { width, height, channels: 3 } });
    await (profile ? picture.withIccProfile("srgb") : picture).jpeg({ quality: 93 }).toFile(path);
  }
  return paths;
}

/**
 * Rounded normal-like noise from a seeded generator.
 *
 * @param {number} length
 */
function grainOf(length) {
  let state = 12345;
  const random = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
  return Int8Array.from({ length }, () =>
    Math.round((random() + random() + random() + random() - 2) * 7),
  );
}
