import { expect, test } from "vitest";
import { letGo } from "./letGo.ts";

test("samples that have their buffer to themselves are freed at once", () => {
  const before = process.memoryUsage().arrayBuffers;
  const samples = new Uint8Array(64e6);
  letGo(samples);
  expect(samples).toHaveLength(0);
  expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(32e6);
});

test("a buffer that others share is left alone", () => {
  const buffer = new ArrayBuffer(64);
  const other = new Uint8Array(buffer, 0, 32);
  letGo(new Uint16Array(buffer, 32, 16));
  expect(other).toHaveLength(32);
});
