/**
 * Makes samples/class: renders the harbour, lets six invented students photograph it for three weeks, and writes down the truth
 * of everything that they handed in.
 *
 * Takes some minutes. Run again it gives the same pixels.
 *
 * @typedef {import("./harbour-scenes/render.mjs").Scene} Scene
 */
import { mkdir, writeFile } from "node:fs/promises";
import { makeClass } from "./class-plan/makeClass.mjs";
import { EXERCISES, PLANTED, STUDENTS } from "./class-plan/plan.mjs";
import { renderInWorkers } from "./harbour-scenes/renderInWorkers.mjs";

const folder = new URL("./class/", import.meta.url);
await mkdir(folder, { recursive: true });
const scenes = renderInWorkers(EXERCISES.flatMap(({ tasks }) => tasks.map(({ view }) => view)));
const frames = await makeClass(folder, (view) => /** @type {Promise<Scene>} */ (scenes.get(view)));
const truth = {
  basis: "rendered",
  students: STUDENTS.map(({ code }) => code),
  exercises: EXERCISES.map(({ id, tasks }) => ({
    id,
    tasks: tasks.map(({ id: task, frames: count }) => ({ id: task, frames: count })),
  })),
  planted: PLANTED,
  frames,
};
const rounded = (/** @type {string} */ _, /** @type {unknown} */ value) =>
  typeof value === "number" ? Number(value.toPrecision(6)) : value;
await writeFile(new URL("truth.json", folder), `${JSON.stringify(truth, rounded, 2)}\n`);
