// Imported by a process that startedProcess.mjs starts: writes at its end what it took, to the file named in TELL_USAGE.
import { readFileSync, writeFileSync } from "node:fs";
import { isMainThread } from "node:worker_threads";

const { TELL_USAGE: file } = process.env;

if (file && isMainThread) {
  // Processes that this one starts inherit its arguments, and have nothing to tell.
  delete process.env.TELL_USAGE;
  process.on("exit", () => {
    const { user, system } = process.cpuUsage();
    const usage = { peakMegabytes: peakMegabytes(), cpuMilliseconds: (user + system) / 1000 };
    writeFileSync(file, JSON.stringify(usage));
  });
}

/**
 * The most memory that this process held since it began to run its program. The usual figure, `maxRSS`, will not do: the
 * system hands it from a process to those that it starts. Null where the system does not tell (Linux does).
 */
function peakMegabytes() {
  try {
    const status = readFileSync("/proc/self/status", "utf8");
    return Number(/^VmHWM:\s+(\d+) kB/m.exec(status)?.[1]) / 1024;
  } catch {
    return null;
  }
}
