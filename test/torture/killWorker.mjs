// Preloaded into a process: the first thread that is given a file to decode is ended from outside, as a machine short
// of memory would. Everything else is the real thing.
import { syncBuiltinESMExports } from "node:module";
import threads from "node:worker_threads";

let spared = false;

threads.Worker = class extends threads.Worker {
  /**
   * @param {any} request
   * @param {any} transfer
   * @override
   */
  postMessage(request, transfer) {
    super.postMessage(request, transfer);
    if (!spared && (request?.bytes ?? request?.open)) {
      spared = true;
      this.terminate();
    }
  }
};
syncBuiltinESMExports();
