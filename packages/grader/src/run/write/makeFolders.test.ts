import { existsSync } from "node:fs";
import { mkdtemp, rm, stat, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { makeFolders } from "./makeFolders.ts";

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "tonefall-folders-"));
});
afterAll(() => rm(folder, { recursive: true }));

test("folders that are missing are made from the top down, and what stands is left", async () => {
  const wanted = join(folder, "a", "b", "c");
  await Promise.all([makeFolders(wanted), makeFolders(wanted)]);
  await makeFolders(wanted);
  expect((await stat(wanted)).isDirectory()).toBe(true);
});

test("a file in the way is an error, as the folder itself or above it", async () => {
  const file = join(folder, "file");
  await writeFile(file, "");
  await expect(makeFolders(file)).rejects.toThrow(/EEXIST/);
  await expect(makeFolders(join(file, "below"))).rejects.toThrow(/ENOTDIR/);
});

test.skipIf(!existsSync("/proc/self/status"))(
  "a system that makes no folders where one stands ends in an error, not in a wait (only where there is a /proc)",
  async () => {
    await expect(makeFolders("/proc/tonefall/wall")).rejects.toThrow(/ENOENT/);
  },
);
