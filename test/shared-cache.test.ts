import type { ChildProcess } from "node:child_process";
import { mkdir, readdir, readFile, rm } from "node:fs/promises";
import { join } from "node:path";
import { setTimeout as soon } from "node:timers/promises";
import { afterAll, beforeAll, expect, test } from "vitest";
import { flat, newFolder } from "./pictures.ts";
import { runTonefall } from "./runTonefall.ts";

const FRAMES = 24;
const RUN = ["grade", "shoot", "--place", "0", "-f", "csv"];

let folder = "";
beforeAll(async () => {
  folder = await newFolder();
  await mkdir(join(folder, "shoot"));
  for (let i = 0; i < FRAMES; i++) {
    await flat(60 + 5 * i)
      .jpeg()
      .toFile(join(folder, `shoot/IMG_${i}.jpg`));
  }
});
afterAll(() => rm(folder, { recursive: true }));

test("runs that share a cache, some of them killed while they write, give what one run gives, and leave no damage", async () => {
  const cache = join(folder, "cache");
  const here = { cwd: folder, env: { TONEFALL_CACHE: cache } };
  const rowsKept = async (): Promise<number> => {
    const files = await readdir(cache, { recursive: true }).catch(() => []);
    return files.filter((path) => /content-v\d+\W.*\w{50}/.test(path)).length;
  };
  const killedAt = (rows: number) => async (child: ChildProcess) => {
    while (child.exitCode === null && child.signalCode === null) {
      if ((await rowsKept()) >= rows) child.kill("SIGKILL");
      await soon(1);
    }
  };
  const alone = await runTonefall([...RUN, "--no-cache"], here);
  const runs = await Promise.all([
    ...[1, 4].map((rows) => runTonefall(RUN, { ...here, meanwhile: killedAt(rows) })),
    ...[1, 2].map(() => runTonefall(RUN, here)),
  ]);
  expect(runs.some(({ signal }) => signal === "SIGKILL")).toBe(true);
  for (const { signal, ...run } of runs) {
    if (signal === null) expect(run).toEqual({ code: 0, stdout: alone.stdout, stderr: "" });
  }
  const last = await runTonefall(RUN, here);
  expect([last.stdout, last.stderr]).toEqual([alone.stdout, ""]);
  const { stdout } = await runTonefall(["cache"], here);
  expect(stdout).toContain(`\n${FRAMES} rows`);
}, 300_000);

test("a run that is in the cache gives the same bytes and exit code as the first, and as one without the cache", async () => {
  const run = ["grade", "shoot/IMG_0.jpg", "shoot/IMG_1.jpg", "--place", "+3", "--fail-on-miss"];
  const here = { cwd: folder, env: { TONEFALL_CACHE: join(folder, "another cache") } };
  const first = await runTonefall(run, here);
  expect(first).toMatchObject({ code: 1, stderr: "" });
  expect(await runTonefall(run, here)).toEqual(first);
  expect(await runTonefall([...run, "--no-cache"], here)).toEqual(first);
  const noted = await readFile(join(folder, "another cache/rows/last-runs"), "utf8");
  expect(noted.split("\n")).toHaveLength(2);
});
