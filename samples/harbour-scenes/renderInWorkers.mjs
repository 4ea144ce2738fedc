/**
 * Renders views beside one another, one worker thread each.
 *
 * @typedef {import("./render.mjs").Scene} Scene
 */
import { availableParallelism } from "node:os";
import { isMainThread, parentPort, Worker, workerData } from "node:worker_threads";
import { buildHarbour } from "./harbour.mjs";
import { renderView } from "./render.mjs";
import { Tracer } from "./tracer.mjs";
import { VIEWS } from "./views.mjs";

const QUALITY = { longSide: 1200, samples: 2 };

/**
 * @param {readonly string[]} names - of views
 * @returns {Map<string, Promise<Scene>>} begun in the order given, as many at once as there are processors
 */
export function renderInWorkers(names) {
  /** @type {(() => void)[]} */
  const waiting = [];
  const next = () => waiting.shift()?.();
  const scenes = new Map(
    names.map((name) => [
      name,
      new Promise((/** @type {(scene: Scene) => void} */ resolve, reject) => {
        waiting.push(() => {
          const worker = new Worker(new URL(import.meta.url), { workerData: name });
          worker.once("message", resolve);
          worker.once("error", reject);
          worker.once("exit", next);
        });
      }),
    ]),
  );
  for (let i = 0; i < availableParallelism(); i++) next();
  return scenes;
}

if (!isMainThread) {
  const scene = renderView(new Tracer(buildHarbour()), VIEWS[workerData], QUALITY);
  parentPort?.postMessage(scene);
}
