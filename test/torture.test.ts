import { execFile } from "node:child_process";
import { resolve } from "node:path";
import { expect, test } from "vitest";
import { corpus } from "./outside.mjs";

const TORTURE = resolve(import.meta.dirname, "torture/torture.mjs");

/** A list that has lost half of its faults would hold as well. */
const LEAST_FAULTS = 15;

/** Files are damaged that are made here, and real photographs where there are some. */
const damaged = corpus.path ? "with real photographs" : "with pictures made here";

test(`nothing in the short form of the fault list breaks a promise, ${damaged}`, async () => {
  const { code, stdout } = await new Promise<{ code: unknown; stdout: string }>((done) => {
    execFile(process.execPath, [TORTURE, "--short"], (error, stdout) =>
      done({ code: error === null ? 0 : error.code, stdout }),
    );
  });
  expect(code, stdout).toBe(0);
  const counts = /^(\d+) faults, seed 1: (\d+) held, (\d+) broken, (\d+) skipped$/m.exec(stdout);
  const [faults, held, broken, skipped] = counts?.slice(1).map(Number) ?? [];
  expect([held, broken, skipped], stdout).toEqual([faults, 0, 0]);
  expect(faults).toBeGreaterThanOrEqual(LEAST_FAULTS);
}, 600_000);
