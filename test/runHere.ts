import { run } from "../packages/grader/src/cli/run.ts";
import type { Run } from "./runTonefall.ts";

interface Here {
  /** @default the folder that the process is in */
  readonly cwd?: string;
  readonly env?: Readonly<Record<string, string>>;
}

/** The run before: a process is in one folder, so runs wait for one another. */
let last: Promise<unknown> = Promise.resolve();

/**
 * Runs the command's sources in this process, as `runTonefall` runs the built command in one of its own: for tests of what a
 * run does, rather than of how it starts and ends.
 */
export function runHere(args: readonly string[], here: Here = {}): Promise<Run> {
  const running = last.then(() => runOnce(args, here));
  last = running.catch(() => undefined);
  return running;
}

async function runOnce(args: readonly string[], { cwd, env }: Here): Promise<Run> {
  const before = process.cwd();
  let [stdout, stderr] = ["", ""];
  if (cwd !== undefined) process.chdir(cwd);
  const streams = {
    stdout: { write: (text: string) => (stdout += text) },
    stderr: { write: (text: string) => (stderr += text) },
    env: { ...process.env, NO_COLOR: "", FORCE_COLOR: "", ...env },
  };
  try {
    const code = await run(args, streams);
    return { code, signal: null, stdout, stderr };
  } finally {
    process.chdir(before);
  }
}
