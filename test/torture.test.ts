import { execFile } from "node:child_process";
import { resolve } from "node:path";
import { expect, test } from "vitest";
import { corpus } from "./outside.mjs";

/** A list that has lost half of its faults would hold as well. */
const LEAST_FAULTS = 15;

const TORTURE = resolve(import.meta.dirname, "torture/torture.mjs");

test("nothing in the short form of the fault list breaks a promise", async () => {
  const { code, stdout } = await new Promise<{ code: unknown; stdout: string }>((done) => {
    execFile(process.execPath, [TORTURE, "--short"], (error, stdout) =>
      done({ code: error === null ? 0 : error.code, stdout }),
    );
  });
  expect(code, stdout).toBe(0);
  const [, faults, held, broken] =
    /^(\d+) faults, seed 1: (\d+) held, (\d+) broken/m.exec(stdout)?.map(Number) ?? [];
  const skipped = [...stdout.matchAll(/^skipped {2}(.*?) {2,}/gm)].map(([, name]) => name);
  expect(skipped).toEqual(corpus.path ? [] : ["malformed files of the corpus"]);
  expect([held, broken]).toEqual([Number(faults) - skipped.length, 0]);
  expect(held).toBeGreaterThanOrEqual(LEAST_FAULTS);
}, 600_000);
