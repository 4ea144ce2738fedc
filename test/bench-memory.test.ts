import { spawnSync } from "node:child_process";
import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { describe, expect, test } from "vitest";

const STARTED = pathToFileURL(
  resolve(import.meta.dirname, "../packages/grader/bench/startedProcess.mjs"),
).href;

const MEGABYTE = 2 ** 20;

/** More than Node takes by itself, several times over. */
const BALLAST = 700;

/** Runs a script that starts a process by `startedProcess`, and reads what it prints. */
function told(script: string): { peakMegabytes: number; cpuMilliseconds: number; stdout: string } {
  const whole = `import { startedProcess } from ${JSON.stringify(STARTED)};\n${script}`;
  const { stdout, stderr } = spawnSync(process.execPath, ["--input-type=module", "--eval", whole], {
    encoding: "utf8",
  });
  expect(stderr).toBe("");
  return JSON.parse(stdout);
}

const linux = existsSync("/proc/self/status");

describe.skipIf(!linux)(
  `the peak memory of a started process${linux ? "" : " (skipped: the system does not tell)"}`,
  () => {
    test("is not its parent's", () => {
      const { peakMegabytes } = told(`
        const ballast = Buffer.alloc(${BALLAST * MEGABYTE}, 1);
        console.log(JSON.stringify(startedProcess(["--eval", ""])));
        if (ballast[0] !== 1) throw new Error("The ballast is gone");`);
      expect(peakMegabytes).toBeGreaterThan(10);
      expect(peakMegabytes).toBeLessThan(BALLAST / 2);
    });

    test("is what it held itself, though it held it for a moment", () => {
      const { peakMegabytes } = told(
        `console.log(JSON.stringify(startedProcess(["--eval", "Buffer.alloc(${BALLAST * MEGABYTE}, 1)"])));`,
      );
      expect(peakMegabytes).toBeGreaterThan(BALLAST);
      expect(peakMegabytes).toBeLessThan(1.5 * BALLAST);
    });

    test("is not that of the processes and threads that it starts", () => {
      const heavy = `Buffer.alloc(${BALLAST * MEGABYTE}, 1)`;
      const child = `require("child_process").spawnSync(process.execPath, [...process.execArgv.slice(0, 2), "--eval", ${JSON.stringify(heavy)}]); new (require("worker_threads").Worker)("", { eval: true })`;
      const { peakMegabytes } = told(
        `console.log(JSON.stringify(startedProcess(["--eval", ${JSON.stringify(child)}])));`,
      );
      expect(peakMegabytes).toBeLessThan(BALLAST / 2);
    });
  },
);

test("a started process that fails is an error that says why", () => {
  const script = `
    try { startedProcess(["--eval", "throw new Error('out of film')"]); }
    catch ({ message }) { console.log(JSON.stringify({ stdout: message })); }`;
  expect(told(script).stdout).toContain("out of film");
});

test("processor time of processes that have ended counts", ({ skip }) => {
  skip(!existsSync("/proc/self/stat"), "this system does not tell");
  const children = pathToFileURL(
    resolve(import.meta.dirname, "../packages/grader/bench/children.mjs"),
  ).href;
  const script = `
    import { spawnSync } from "node:child_process";
    import { childrenTime } from ${JSON.stringify(children)};
    const before = childrenTime();
    spawnSync(process.execPath, ["-e", "while (process.cpuUsage().user < 300_000);"]);
    process.stdout.write(JSON.stringify(childrenTime() - before));`;
  const { stdout } = spawnSync(process.execPath, ["--input-type=module", "--eval", script], {
    encoding: "utf8",
  });
  // Two ticks of the system's clock may be lost to rounding.
  expect(Number(stdout)).toBeGreaterThanOrEqual(280);
});
