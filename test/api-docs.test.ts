import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { expect, onTestFinished, test } from "vitest";

const ROOT = resolve(import.meta.dirname, "..");
const TYPEDOC = join(ROOT, "node_modules", "typedoc", "bin", "typedoc");

test("everything public has a docstring, and names only what is public too", () => {
  // Some links are only looked at when pages are written.
  const out = mkdtempSync(join(tmpdir(), "tonefall api pages "));
  onTestFinished(() => rmSync(out, { recursive: true, force: true }));
  const { stdout, stderr, status } = spawnSync(process.execPath, [TYPEDOC, "--out", out], {
    cwd: ROOT,
    encoding: "utf8",
    env: { ...process.env, NO_COLOR: "1" },
  });
  const told = `${stdout}${stderr}`.split("\n");
  expect(told.filter((line) => /^\[(?:warning|error)\]/.test(line))).toEqual([]);
  expect(status).toBe(0);
  // Each package was looked at.
  expect(told.filter((line) => line.includes("Converting project at"))).toHaveLength(3);
});
