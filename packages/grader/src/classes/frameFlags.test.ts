import { expect, test } from "vitest";
import type { FrameResult } from "../model/result.ts";
import { usualSoftware } from "./frameFlags.ts";

function written(camera: string | null, software: string | null): FrameResult {
  const exposure = {
    make: { value: null },
    model: { value: camera },
    software: { value: software },
  };
  return { exposure } as unknown as FrameResult;
}

const usualOf = (...software: readonly (string | null)[]) =>
  usualSoftware(software.map((name) => written("One", name))).get("One");

test("what more than half of a camera's files name is usual, none included", () => {
  expect(usualOf("1.0", "1.0", "Editor")).toBe("1.0");
  expect(usualOf(null, null, "Editor")).toBeNull();
});

test("half of them make nothing usual, and fewer than three files do not", () => {
  expect(usualOf("1.0", "1.0", "Editor", "Editor")).toBeUndefined();
  expect(usualOf("1.0", "1.0")).toBeUndefined();
});

test("each camera has its own, and files that record none have none", () => {
  const rows = [
    ...["a", "a", "a"].map((name) => written("One", name)),
    ...["b", "b", "b"].map((name) => written("Two", name)),
    ...["c", "c", "c"].map((name) => written(null, name)),
  ];
  expect([...usualSoftware(rows)]).toEqual([
    ["One", "a"],
    ["Two", "b"],
  ]);
});
