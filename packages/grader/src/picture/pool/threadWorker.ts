import { Worker } from "node:worker_threads";
import type { PoolWorker, WorkerEars } from "./workerPool.ts";

/** A worker of a pool that is a thread, and runs a script of JavaScript. */
export function threadWorker(script: URL): PoolWorker {
  const worker = new Worker(script);
  let ears: WorkerEars | null = null;
  worker
    .on("message", (answer) => ears?.answer(answer))
    .on("error", (cause) => ears?.ended("the decoder broke off", { cause }))
    .on("exit", (code) => ears?.ended(`the decoder ended with code ${code}`));
  return {
    ready: null,
    listen: (others) => {
      ears = others;
    },
    post: (request, transfer) => worker.postMessage(request, transfer),
    hold: (working) => (working ? worker.ref() : worker.unref()),
    end: () => {
      worker.terminate();
    },
  };
}
