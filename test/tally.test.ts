import { spawnSync } from "node:child_process";
import { rm, writeFile } from "node:fs/promises";
import { join, resolve } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { newFolder } from "./pictures.ts";

const TALLY = resolve(import.meta.dirname, "../.ci/tally.mjs");

let folder = "";
beforeAll(async () => {
  folder = await newFolder();
});
afterAll(() => rm(folder, { recursive: true }));

/** A report in the form that vitest writes, of tests by their titles. */
async function report(name: string, tests: Readonly<Record<string, string>>): Promise<string> {
  const assertionResults = Object.entries(tests).map(([fullName, status]) => ({
    fullName,
    status,
  }));
  const testResults = [{ status: "passed", assertionResults }];
  const path = join(folder, name);
  await writeFile(path, JSON.stringify({ testResults }));
  return path;
}

function tally(...args: string[]): { lines: string[]; status: number | null } {
  const { stdout, status } = spawnSync(process.execPath, [TALLY, ...args], { encoding: "utf8" });
  return { lines: stdout.trimEnd().split("\n"), status };
}

const NO_PICTURES = "(skipped: no pictures)";

test("both runs count, skipped tests by their reason, and the count is the last line", async () => {
  const full = await report("full.json", {
    a: "passed",
    b: "passed",
    "c (skipped: root)": "skipped",
  });
  const bare = await report("bare.json", {
    a: "passed",
    [`of pictures ${NO_PICTURES} b`]: "skipped",
    [`of pictures ${NO_PICTURES} c`]: "pending",
    d: "skipped",
  });
  expect(tally(full, "0", bare, "0")).toEqual({
    lines: [
      "skipped 2: no pictures",
      "skipped 1: root",
      "skipped 1: no reason given: d",
      "3 passed, 0 failed, 4 skipped",
    ],
    status: 0,
  });
});

test("a failed test, a file that does not load, a missing report and an exit code are failures, and are named", async () => {
  const good = await report("good.json", { a: "passed" });
  const bad = await report("bad.json", { a: "passed", "b, by name": "failed" });
  const broken = join(folder, "broken.json");
  const message = "Cannot find module\n  at line 1";
  const testResults = [{ name: "c.test.ts", status: "failed", message, assertionResults: [] }];
  await writeFile(broken, JSON.stringify({ testResults }));
  const none = join(folder, "none.json");
  const outside = (code: number): string => `failed: outside the tests, with exit code ${code}`;
  for (const [args, ...lines] of [
    [[bad, "1", good, "0"], "failed: b, by name: no message", "2 passed, 1 failed, 0 skipped"],
    [
      [good, "0", broken, "1"],
      "failed: c.test.ts: Cannot find module   at line 1",
      "1 passed, 1 failed, 0 skipped",
    ],
    [
      [good, "0", none, "0"],
      `failed: no report of tests in ${none}`,
      "1 passed, 1 failed, 0 skipped",
    ],
    [[good, "2", good, "143"], outside(2), outside(143), "2 passed, 2 failed, 0 skipped"],
  ] as const) {
    expect(tally(...args)).toEqual({ lines, status: 1 });
  }
});
