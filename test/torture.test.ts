import { execFile } from "node:child_process";
import { resolve } from "node:path";
import { expect, test } from "vitest";

const TORTURE = resolve(import.meta.dirname, "torture/torture.mjs");

test("nothing in the short form of the fault list breaks a promise", async () => {
  const { code, stdout } = await new Promise<{ code: unknown; stdout: string }>((done) => {
    execFile(process.execPath, [TORTURE, "--short"], (error, stdout) =>
      done({ code: error === null ? 0 : error.code, stdout }),
    );
  });
  expect(code, stdout).toBe(0);
  expect(stdout).toMatch(/^\d+ faults, seed 1: \d+ held, 0 broken/m);
}, 600_000);
