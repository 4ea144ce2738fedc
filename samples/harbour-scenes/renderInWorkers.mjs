/**
 * Renders views beside one another, one worker thread each.
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
 * @returns {Map<string, () => Promise<import("./render.mjs").Scene>>} call to wait for a scene
 */
export function renderInWorkers(names) {
  const waiting = [...names];
  const settled = new Map(names.map((name) => [name, deferred()]));
  const next = () => {
    const name = waiting.shift();
    if (name === undefined) return;
    const { resolve, reject } = settled.get(name);
    const worker = new Worker(new URL(import.meta.url), { workerData: name });
    worker.once("message", resolve);
    worker.once("error", reject);
    worker.once("exit", next);
  };
  for (let i = 0; i < availableParallelism(); i++) next();
  return new Map(names.map((name) => [name, () => settled.get(name).promise]));
}

/** A promise with its two ends in hand. */
function deferred() {
  let resolve;
  let reject;
  const promise = new Promise((one, other) => {
    resolve = one;
    reject = other;
  });
  return { promise, resolve, reject };
}

if (!isMainThread) {
  const scene = renderView(new Tracer(buildHarbour()), VIEWS[workerData], QUALITY);
  parentPort?.postMessage(scene, [scene.light.buffer]);
}
