import { mkdtemp, rm, truncate, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { FrameResult } from "../model/result.ts";
import type { GradeOptions } from "./gradeOptions.ts";
import type { RowMemory } from "./memory/rowMemory.ts";
import { whereToGrade } from "./whereToGrade.ts";

let folder = "";
let files: string[] = [];
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "tonefall where "));
  files = ["a", "b", "c", "d"].map((name) => join(folder, `${name}.jpg`));
  for (const file of files) {
    await writeFile(file, "");
    // Long by their stated size, and without a block on the disk.
    await truncate(file, 40e6);
  }
});
afterAll(() => rm(folder, { recursive: true }));

/** A memory that holds the rows of the keys named. */
function memoryOf(...keys: readonly string[]): RowMemory {
  return {
    identify: async () => "",
    recall: async (key) => (keys.includes(key) ? ({} as FrameResult) : null),
    keep: async () => {},
  };
}

async function recallAll({ memory: [memory] = [] }: GradeOptions, keys: string): Promise<void> {
  for (const key of keys) await memory?.recall(key);
}

test("a long run that has to decode everything starts processes, and a short one does not", async () => {
  expect((await whereToGrade(files, {})).processes).toBe(true);
  expect((await whereToGrade(files.slice(0, 1), {})).processes).toBe(false);
  expect((await whereToGrade(files, { processes: false })).processes).toBe(false);
});

test("a run that remembers nearly all of its frames starts none", async () => {
  const options = await whereToGrade(files, { memory: [memoryOf("1", "2", "3")] });
  expect(options.processes).toBe(true);
  await recallAll(options, "1234");
  expect(options.processes).toBe(false);
});

test("a run whose memory holds few of them does", async () => {
  const options = await whereToGrade(files, { memory: [memoryOf("1")] });
  await recallAll(options, "1234");
  expect(options.processes).toBe(true);
});
