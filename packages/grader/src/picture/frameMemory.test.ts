import { expect, test } from "vitest";
import { FrameMemory } from "./frameMemory.ts";

test("memory that was given back serves the next frame that it is large enough for, and no other", () => {
  const memory = new FrameMemory();
  const small = memory.take(10);
  expect(small.byteLength).toBe(10);
  memory.giveBack(small);
  expect(memory.take(11)).not.toBe(small);
  expect(memory.take(9)).toBe(small);
  expect(memory.take(9)).not.toBe(small);
});

test("of memory that is given back, the largest is kept", () => {
  const memory = new FrameMemory();
  const [a, b, c] = [1, 3, 2].map((bytes) => new ArrayBuffer(bytes)) as [
    ArrayBuffer,
    ArrayBuffer,
    ArrayBuffer,
  ];
  for (const buffer of [a, b, c]) memory.giveBack(buffer);
  expect(memory.take(1)).toBe(b);
});

test("memory is a multiple of its grain, for a next that is a little larger", () => {
  const memory = new FrameMemory(64);
  const first = memory.take(100);
  expect(first.byteLength).toBe(128);
  memory.giveBack(first);
  expect(memory.take(120)).toBe(first);
});
