/**
 * Makes samples/harbour: renders the scenes, photographs them with the model camera, and writes down the truth of each frame.
 *
 * Takes some minutes for the whole set. Named frames (`29-slip-and-boathouse`) are made alone, and the truth of the others
 * stays. Run again it gives the same pixels.
 *
 * @typedef {import("./harbour-scenes/render.mjs").Scene} Scene
 */
import { mkdir, readFile, writeFile } from "node:fs/promises";
import { FRAMES } from "./harbour-scenes/frames.mjs";
import { makeSet } from "./harbour-scenes/makeSet.mjs";
import { renderInWorkers } from "./harbour-scenes/renderInWorkers.mjs";

const all = FRAMES.map(({ file }) => file);
const asked = process.argv.slice(2);
const unknown = asked.filter((name) => !all.includes(name));
if (unknown.length > 0) {
  throw new RangeError(`Expected names of frames but received ${unknown.join(", ")}`);
}
const names = new Set(asked.length > 0 ? asked : all);
const folder = new URL("./harbour/", import.meta.url);
await mkdir(folder, { recursive: true });
const truthFile = new URL("truth.json", folder);
const before =
  names.size < all.length ? JSON.parse(await readFile(truthFile, "utf8")) : { frames: [] };
const views = FRAMES.filter(({ file }) => names.has(file)).map(({ view }) => view);
const scenes = renderInWorkers([...new Set(views)]);
const truth = await makeSet(
  folder,
  (view) => /** @type {Promise<Scene>} */ (scenes.get(view)),
  before,
  names,
);
await writeFile(truthFile, `${JSON.stringify(truth, null, 2)}\n`);
