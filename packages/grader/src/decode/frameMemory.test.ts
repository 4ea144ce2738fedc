import { expect, test } from "vitest";
import { FrameMemory } from "./frameMemory.ts";

test("memory that was given back serves the next frame that it is large enough for", () => {
  const memory = new FrameMemory();
  const small = memory.take(10);
  expect(small.byteLength).toBe(10);
  memory.giveBack(small);
  expect(memory.take(11)).not.toBe(small);
  expect(memory.take(9)).toBe(small);
  expect(memory.take(9)).not.toBe(small);
});

test("the two largest are kept, the largest is given first", () => {
  const memory = new FrameMemory();
  const [a, b, c] = [new SharedArrayBuffer(1), new SharedArrayBuffer(3), new SharedArrayBuffer(2)];
  for (const buffer of [a, b, c]) memory.giveBack(buffer);
  expect([memory.take(1), memory.take(1)]).toEqual([b, c]);
  expect(memory.take(1)).not.toBe(a);
});
