/**
 * Makes samples/harbour: renders the scenes, photographs them with the model camera, and writes down the truth of each frame.
 *
 * Takes some minutes. Run again it gives the same pixels.
 *
 * @typedef {import("./harbour-scenes/render.mjs").Scene} Scene
 */
import { mkdir, writeFile } from "node:fs/promises";
import { FRAMES } from "./harbour-scenes/frames.mjs";
import { makeSet } from "./harbour-scenes/makeSet.mjs";
import { renderInWorkers } from "./harbour-scenes/renderInWorkers.mjs";

const folder = new URL("./harbour/", import.meta.url);
await mkdir(folder, { recursive: true });
const scenes = renderInWorkers([...new Set(FRAMES.map(({ view }) => view))]);
const truth = await makeSet(folder, (view) => /** @type {Promise<Scene>} */ (scenes.get(view)));
await writeFile(new URL("truth.json", folder), `${JSON.stringify(truth, null, 2)}\n`);
