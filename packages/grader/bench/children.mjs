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
      // Times are the 12th and 13th after the name, which stands in brackets and may hold anything.
      const stat = readFileSync(`/proc/${pid}/stat`, "utf8")
        .replace(/^.*\) /s, "")
        .split(" ");
      const cpu = (Number(stat[11]) + Number(stat[12])) * TICK_MILLISECONDS;
      return [{ pid, cpu, peakMegabytes: of("VmHWM") / 1024 }];
    } catch {
      // It has just ended.
      return [];
    }
  });
}
