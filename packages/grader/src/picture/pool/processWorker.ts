import { fork } from "node:child_process";
import { createRequire } from "node:module";
import { fileURLToPath, pathToFileURL } from "node:url";
import { endsWithUs, isLeaving } from "./startedProcesses.ts";
import type { PoolWorker, WorkerAnswer, WorkerEars } from "./workerPool.ts";

/**
 * Has glibc keep the memory of large pictures in the process: by itself it takes fresh pages from the system for each one,
 * which costs a quarter of the time of decoding it. Read when a process starts; other systems ignore it.
 *
 * @public the benchmark's processes keep memory likewise
 */
export const KEPT_MEMORY: Readonly<Record<string, string>> = {
  MALLOC_ARENA_MAX: "1",
  MALLOC_MMAP_MAX_: "0",
  MALLOC_TRIM_THRESHOLD_: String(2 ** 32),
};

/** What a process sends once, when it is ready. */
export const READY = "ready";

/** Stands in for a worker that would be started while this process exits: it never answers. */
const NOBODY: PoolWorker = {
  ready: false,
  listen: () => {},
  post: () => {},
  hold: () => {},
  end: () => {},
};

/**
 * A worker of a pool that is a process: it can end by a signal and take nobody with it, and has a heap of its own.
 *
 * Answers are cloned, not written as JSON. Its stderr is this process's. It ends with this process, however that
 * ends.
 *
 * @param script - says {@link READY} when it listens, then answers each message by one
 */
export function processWorker(script: URL): PoolWorker {
  if (isLeaving()) return NOBODY;
  const child = fork(fileURLToPath(script), {
    env: { ...KEPT_MEMORY, ...process.env },
    // Flags of this process, such as a debugger's port, are not the worker's.
    execArgv: script.pathname.endsWith(".ts") ? sourceFlags() : [],
    serialization: "advanced",
    stdio: ["ignore", "ignore", "inherit", "ipc"],
  });
  endsWithUs(child);
  let ears: WorkerEars | null = null;
  let ready = false;
  child
    .on("message", (message) => {
      if (message === READY) ready = true;
      else ears?.answer(message as unknown as WorkerAnswer);
    })
    .on("error", (cause) => ears?.ended("its process could not be reached", { cause }))
    .on("exit", (code, signal) => {
      // Work that was abandoned does not fail its frame.
      if (!isLeaving()) ears?.ended(`its process ended with ${signal ?? `code ${code}`}`);
    });
  return {
    get ready() {
      return ready;
    },
    listen: (others) => {
      ears = others;
    },
    // If a message cannot be sent, the end of the process reports it.
    post: (request) => child.send(request as object, () => {}),
    hold: (working) => {
      if (working) {
        child.ref();
        child.channel?.ref();
      } else {
        child.unref();
        child.channel?.unref();
      }
    },
    end: () => {
      child.kill("SIGKILL");
    },
  };
}

/** Flags with which Node runs our sources as they are; the loader is there for development only. */
function sourceFlags(): string[] {
  const require = createRequire(import.meta.url);
  const loader = pathToFileURL(require.resolve("tsx"));
  return ["--conditions=@tonefall/source", `--import=${loader}`];
}
