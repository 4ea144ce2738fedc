import type { ChildProcess } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { readFile, rm, truncate } from "node:fs/promises";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { flat, newFolder } from "./pictures.ts";
import { type Run, runTonefall } from "./runTonefall.ts";

const onLinux = process.platform === "linux";
const SKIPPED = onLinux ? "" : " (skipped: what is left of a process is read from /proc)";

const FRAMES = 16;

let shoot = "";

beforeAll(async () => {
  shoot = await newFolder();
  for (let i = 0; i < FRAMES; i++) {
    const path = join(shoot, `${i}.jpg`);
    await flat(118, 600, 400).jpeg().toFile(path);
    // Zeros after the picture, which decoders pass over: a run that is long by its bytes has processes of its own.
    await truncate(path, 17e6);
  }
});
afterAll(() => rm(shoot, { recursive: true }));

/** The processes that a process has started and not collected. */
async function childrenOf({ pid }: ChildProcess): Promise<string[]> {
  const told = await readFile(`/proc/${pid}/task/${pid}/children`, "utf8").catch(() => "");
  return told.split(" ").filter((one) => one !== "");
}

const isThere = (pid: string): boolean => existsSync(`/proc/${pid}`);

/** Whether it has not ended; what is left of a process without a parent is the system's to collect. */
function isAtWork(pid: string): boolean {
  try {
    return !/^State:\s+Z/m.test(readFileSync(`/proc/${pid}/status`, "utf8"));
  } catch {
    return false;
  }
}

/** How a run ended, and which of its processes were there then. */
interface Ending extends Run {
  readonly started: readonly string[];
  readonly left: readonly string[];
}

/** Runs the command until it has processes, does something to it, and looks what there is when it has ended. */
async function endedBy(
  deed: (child: ChildProcess) => unknown,
  args: readonly string[] = [],
): Promise<Ending> {
  const started = new Set<string>();
  let left: readonly string[] = [];
  const run = await runTonefall(["grade", shoot, "--no-cache", "-f", "ndjson", ...args], {
    meanwhile: async (child) => {
      // Not when its pipes are closed: a process that is left holds them open.
      child.once("exit", () => {
        left = [...started].filter(isThere);
      });
      while (started.size < 2 && child.exitCode === null && child.signalCode === null) {
        for (const one of await childrenOf(child)) started.add(one);
        await delay(1);
      }
      await deed(child);
    },
  });
  return { ...run, started: [...started], left };
}

/** Moments of a run, milliseconds after it has started its processes: while they load, grade, and afterwards. */
const moments = (seed: number, numRuns: number): number[] =>
  fc.sample(fc.integer({ min: 0, max: 500 }), { seed, numRuns });

describe(`when the command has ended, no process of its own is left and no trace is printed${SKIPPED}`, () => {
  test.skipIf(!onLinux).each([
    ["SIGINT", 130, 16],
    ["SIGTERM", 143, 8],
    ["SIGHUP", 129, 6],
  ] as const)("by %s, with %i, at %i random moments", async (signal, code, times) => {
    let interrupted = 0;
    for (const moment of moments(code, times)) {
      const ending = await endedBy(async (child) => {
        await delay(moment);
        child.kill(signal);
      });
      expect(ending.started.length, `after ${moment} ms`).toBeGreaterThan(0);
      expect({ left: ending.left, stderr: ending.stderr }, `after ${moment} ms`).toEqual({
        left: [],
        stderr: "",
      });
      // A late one finds that all frames are graded.
      expect([code, 0]).toContain(ending.code);
      if (ending.code === code) interrupted++;
    }
    expect(interrupted).toBeGreaterThan(times / 2);
  });

  test.skipIf(!onLinux)("of itself, all frames graded", async () => {
    const { code, stdout, stderr, started, left } = await endedBy(() => undefined);
    expect({ code, stderr, left }).toEqual({ code: 0, stderr: "", left: [] });
    expect(stdout.trim().split("\n")).toHaveLength(FRAMES);
    expect(started.length).toBeGreaterThan(0);
  });

  test.skipIf(!onLinux)("by a reader that stops early", async () => {
    const { code, stderr, left, started } = await endedBy(({ stdout }) => stdout?.destroy());
    expect({ code, stderr, left }).toEqual({ code: 0, stderr: "", left: [] });
    expect(started.length).toBeGreaterThan(0);
  });

  test.skipIf(!onLinux)("by an output that cannot be written", async () => {
    const { code, stderr, left, started } = await endedBy(() => undefined, ["-o", "/dev/full"]);
    expect({ code, left }).toEqual({ code: 2, left: [] });
    expect(stderr).toMatch(/^tonefall: [^\n]+ENOSPC[^\n]+\n$/);
    expect(started.length).toBeGreaterThan(0);
  });
});

describe(`when the command is killed, its processes end by themselves${SKIPPED}`, () => {
  test.skipIf(!onLinux)("and print no trace", async () => {
    for (const moment of moments(9, 8)) {
      const { started, stderr } = await endedBy(async (child) => {
        await delay(moment);
        child.kill("SIGKILL");
      });
      expect(stderr, `after ${moment} ms`).toBe("");
      expect(started.length, `after ${moment} ms`).toBeGreaterThan(0);
      while (started.some(isAtWork)) await delay(5);
    }
  });
});
