import { spawn } from "node:child_process";
import { once } from "node:events";
import { readdirSync, readFileSync } from "node:fs";
import { setTimeout as delay } from "node:timers/promises";
import { fileURLToPath } from "node:url";

const EVERY_MILLISECONDS = 40;

/**
 * Megabytes that a process and those that it starts held together, at most, in samples taken while they ran: `pss` with
 * every page that some share counted once, divided among those that share it; `rss` with it counted for each.
 *
 * @typedef {{ pss: number, rss: number, processes: number }} TreeMemory
 */

/**
 * Runs Node to its end, and looks at the memory of its whole tree meanwhile. Linux alone tells.
 *
 * @param {readonly string[]} args - Node's
 * @param {Readonly<Record<string, string>>} env - beside this process's own
 * @returns {Promise<TreeMemory | null>} null where the system does not tell
 * @throws Error with what it said when it fails
 */
export async function treeMemory(args, env) {
  const child = spawn(process.execPath, args, {
    cwd: fileURLToPath(new URL("..", import.meta.url)),
    env: { ...process.env, ...env },
    stdio: ["ignore", "ignore", "pipe"],
  });
  let said = "";
  child.stderr.setEncoding("utf8").on("data", (text) => {
    said += text;
  });
  const ended = once(child, "close");
  const most = { pss: 0, rss: 0, processes: 0 };
  while (child.exitCode === null && child.signalCode === null) {
    const now = held(child.pid ?? 0);
    most.pss = Math.max(most.pss, now.pss);
    most.rss = Math.max(most.rss, now.rss);
    most.processes = Math.max(most.processes, now.processes);
    await delay(EVERY_MILLISECONDS);
  }
  const [code] = await ended;
  if (code !== 0) throw new Error(said);
  return most.pss === 0 ? null : most;
}

/** @param {number} pid */
function held(pid) {
  const sum = { pss: 0, rss: 0, processes: 0 };
  for (const one of [pid, ...startedBy(pid)]) {
    try {
      const text = readFileSync(`/proc/${one}/smaps_rollup`, "utf8");
      /** @param {string} key */
      const megabytes = (key) =>
        Number(new RegExp(`^${key}:\\s+(\\d+) kB`, "m").exec(text)?.[1] ?? 0) / 1024;
      sum.pss += megabytes("Pss");
      sum.rss += megabytes("Rss");
      sum.processes++;
    } catch {
      // It has just ended, or this is another system.
    }
  }
  return sum;
}

/** @param {number} pid @returns {readonly string[]} */
function startedBy(pid) {
  try {
    return readdirSync(`/proc/${pid}/task`).flatMap((thread) =>
      readFileSync(`/proc/${pid}/task/${thread}/children`, "utf8").split(" ").filter(Boolean),
    );
  } catch {
    return [];
  }
}
