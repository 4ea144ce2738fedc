import { fork } from "node:child_process";
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";

const VICTIM = fileURLToPath(new URL("victim.mjs", import.meta.url));

/** Seconds past the time limit after which a frame counts as hanging: a busy machine starts decoders slowly. */
const GRACE_SECONDS = 20;

/**
 * What is sent: a file to grade, or a text to read as every kind of file of ours.
 *
 * @typedef {{ source: string | Uint8Array, brief: object, options: object } | { text: string }} Request
 */

/**
 * What became of it. A text has neither code nor fall.
 *
 * @typedef {{ code?: string | null, fall?: number | null, broken: string | null, rss?: number }} Answer
 */

/**
 * A process that grades files sent to it, started anew when it dies.
 *
 * @param {{ timeLimitSeconds: number, maxMegapixels?: number, execArgv?: string[] }} limits
 */
export function victim({ execArgv = [], ...options }) {
  /** @type {import("node:child_process").ChildProcess | null} */
  let child = null;
  let said = "";
  const start = () => {
    child = fork(VICTIM, [], { execArgv, serialization: "advanced", silent: true });
    said = "";
    child.stderr?.on("data", (chunk) => {
      said = `${said}${chunk}`.slice(-400);
    });
    return child;
  };
  const peak = { rss: 0 };

  /**
   * Sends one request; in the answer, `broken` says which promise was broken, a crash and a hang among them.
   *
   * @param {Request} request
   * @returns {Promise<Answer>}
   */
  const ask = (request) =>
    new Promise((resolve) => {
      const running = child ?? start();
      const { pid } = running;
      const watch = setInterval(() => {
        peak.rss = Math.max(peak.rss, highWater(pid));
      }, 200);
      /** @param {Answer} answer */
      const finish = (answer) => {
        clearTimeout(timer);
        clearInterval(watch);
        child?.removeAllListeners("message").removeAllListeners("exit");
        peak.rss = Math.max(peak.rss, answer.rss ?? 0, highWater(pid));
        resolve(answer);
      };
      /** @param {string} broken */
      const dead = (broken) => {
        child?.kill("SIGKILL");
        finish({ code: null, fall: null, broken });
        child = null;
      };
      const timer = setTimeout(
        () => dead("a hang past the time limit"),
        1000 * (options.timeLimitSeconds + GRACE_SECONDS),
      );
      running.once("message", finish);
      running.once("exit", (code, signal) =>
        dead(`a crash of the process (${signal ?? code}) ${said}`),
      );
      running.send(request);
    });

  /** Ends the process. */
  const end = () => {
    child?.removeAllListeners("exit");
    child?.kill("SIGKILL");
  };
  return {
    /**
     * Grades one file, a path or bytes; `hurry` holds options for this file alone.
     *
     * @param {string | Uint8Array} source
     */
    send: (source, hurry = {}) => ask({ source, brief: {}, options: { ...options, ...hurry } }),
    /**
     * Reads a text file as a brief, a kit and a set.
     *
     * @param {string} text - its path
     */
    read: (text) => ask({ text }),
    end,
    peak,
  };
}

/**
 * Most memory that a process has held, bytes; 0 where the system does not tell.
 *
 * @param {number | undefined} pid
 */
function highWater(pid) {
  try {
    return (
      1024 * Number(/VmHWM:\s*(\d+)/.exec(readFileSync(`/proc/${pid}/status`, "utf8"))?.[1] ?? 0)
    );
  } catch {
    return 0;
  }
}
