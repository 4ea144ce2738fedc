import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const TELL = new URL("tellUsage.mjs", import.meta.url).href;

/** From here `@tonefall/grader` is found. */
const PACKAGE = fileURLToPath(new URL("..", import.meta.url));

/**
 * Runs Node in a process of its own to its end.
 *
 * @param {readonly string[]} args - Node's
 * @param {Readonly<Record<string, string>>} [env] - beside this process's own
 * @returns {{ stdout: string, peakMegabytes: number | null, cpuMilliseconds: number }} what it said, and what it took by
 *   itself: neither this process nor those that it starts are in that
 * @throws Error with what it said when it fails
 */
export function startedProcess(args, env = {}) {
  const folder = mkdtempSync(join(tmpdir(), "tonefall usage "));
  try {
    const file = join(folder, "usage.json");
    const { status, stdout, stderr } = spawnSync(process.execPath, ["--import", TELL, ...args], {
      encoding: "utf8",
      cwd: PACKAGE,
      maxBuffer: 2 ** 26,
      env: { ...process.env, ...env, TELL_USAGE: file },
    });
    if (status !== 0) throw new Error(stderr);
    return { stdout, ...JSON.parse(readFileSync(file, "utf8")) };
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/**
 * Megabytes for a table.
 *
 * @param {number | null} amount
 */
export function megabytes(amount) {
  return amount === null ? "not reported by this system" : `${Math.round(amount)}`;
}
