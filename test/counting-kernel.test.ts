import { spawnSync } from "node:child_process";
import { resolve } from "node:path";
import { expect, test } from "vitest";

test("the counting kernel in tone-core's source is what kernel/ compiles to", () => {
  const build = resolve(import.meta.dirname, "../packages/tone-core/kernel/build.mjs");
  const { status, stderr } = spawnSync(process.execPath, [build, "--check"], { encoding: "utf8" });
  expect(stderr).toBe("");
  expect(status).toBe(0);
});
