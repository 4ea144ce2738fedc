import { existsSync, readdirSync, readFileSync } from "node:fs";

/** The clock of processes' times where /proc tells them. */
const TICK_MILLISECONDS = 10;

/** The processes that this one has started and that live: their processor time and most memory. Linux alone tells. */
export function children() {
  if (!existsSync("/proc/self/stat")) return [];
  return readdirSync("/proc").flatMap((pid) => {
    if (!/^\d+$/.test(pid)) return [];
    try {
      const status = readFileSync(`/proc/${pid}/status`, "utf8");
      /** @param {string} key */
      const of = (key) => Number(new RegExp(`^${key}:\\s+(\\d+)`, "m").exec(status)?.[1]);
      if (of("PPid") !== process.pid || Number.isNaN(of("VmHWM"))) return [];
      const { own } = timesOf(pid);
      return [{ pid, cpu: own, peakMegabytes: of("VmHWM") / 1024 }];
    } catch {
      // It has just ended.
      return [];
    }
  });
}

/**
 * Milliseconds of processor time of all processes that this one has started so far, those that have ended among them: in a
 * long run others take their places. 0 where the system does not tell.
 */
export function childrenTime() {
  if (!existsSync("/proc/self/stat")) return 0;
  return children().reduce((sum, { cpu }) => sum + cpu, timesOf("self").ended);
}

/**
 * Processor time of a process, and of those that it started and that have ended, milliseconds.
 *
 * @param {string} pid
 */
function timesOf(pid) {
  // Times are the 12th to 15th after the name, which stands in brackets and may hold anything.
  const [user = 0, system = 0, endedUser = 0, endedSystem = 0] = readFileSync(
    `/proc/${pid}/stat`,
    "utf8",
  )
    .replace(/^.*\) /s, "")
    .split(" ")
    .slice(11, 15)
    .map((ticks) => Number(ticks) * TICK_MILLISECONDS);
  return { own: user + system, ended: endedUser + endedSystem };
}
