import { spawn } from "node:child_process";
import { fileURLToPath } from "node:url";

/** The built command. */
export const COMMAND = fileURLToPath(new URL("../../packages/grader/dist/cli.js", import.meta.url));

const MOST_SECONDS = 120;

/**
 * Runs the built command.
 *
 * @param {readonly string[]} words
 * @param {import("node:child_process").SpawnOptions & { meanwhile?: (child: import("node:child_process").ChildProcess) => void }} options
 *   `meanwhile` is called once the command has been started
 * @returns {Promise<{ code: number | null, signal: string | null, stdout: string, stderr: string }>}
 */
export function tonefall(words, { meanwhile, ...options } = {}) {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [COMMAND, ...words], {
      timeout: 1000 * MOST_SECONDS,
      killSignal: "SIGKILL",
      ...options,
    });
    let stdout = "";
    let stderr = "";
    child.stdout?.on("data", (chunk) => {
      stdout += chunk;
    });
    child.stderr?.on("data", (chunk) => {
      stderr += chunk;
    });
    child.on("error", reject);
    child.on("close", (code, signal) => resolve({ code, signal, stdout, stderr }));
    meanwhile?.(child);
  });
}

/**
 * Whether the command ended by an exit code that it documents, without a stack trace.
 *
 * @param {{ code: number | null, stderr: string }} ended
 */
export function endedWell({ code, stderr }) {
  return code !== null && [0, 1, 2, 3, 129, 130, 143].includes(code) && !/\n\s+at /.test(stderr);
}
