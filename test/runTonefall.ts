import { type ChildProcess, spawn } from "node:child_process";
import { resolve } from "node:path";

/** The built command, run by Node. */
export const COMMAND = resolve(import.meta.dirname, "../packages/grader/dist/cli.js");

/** What a run of the built command came to. */
export interface Run {
  /** Null where a signal ended it. */
  readonly code: number | null;
  readonly signal: NodeJS.Signals | null;
  readonly stdout: string;
  readonly stderr: string;
}

/**
 * Runs the built command as a person would, with its output piped.
 *
 * @param options - `meanwhile` is handed the process, to send it signals
 */
export function runTonefall(
  args: readonly string[],
  options: {
    readonly cwd?: string;
    readonly env?: Readonly<Record<string, string>>;
    readonly meanwhile?: (child: ChildProcess) => unknown;
  } = {},
): Promise<Run> {
  return new Promise((done, fail) => {
    const child = spawn(process.execPath, [COMMAND, ...args], {
      cwd: options.cwd,
      env: { ...process.env, NO_COLOR: "", FORCE_COLOR: "", ...options.env },
    });
    let [stdout, stderr] = ["", ""];
    child.stdout.setEncoding("utf8").on("data", (chunk: string) => {
      stdout += chunk;
    });
    child.stderr.setEncoding("utf8").on("data", (chunk: string) => {
      stderr += chunk;
    });
    child.on("error", fail);
    child.on("close", (code, signal) => done({ code, signal, stdout, stderr }));
    options.meanwhile?.(child);
  });
}
