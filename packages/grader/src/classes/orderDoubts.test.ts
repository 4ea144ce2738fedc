import { expect, test } from "vitest";
import type { ReadyExercise } from "./classFile.ts";
import type { HandIn } from "./handIn.ts";
import type { RecordedFile } from "./markRecord.ts";
import { orderDoubts } from "./orderDoubts.ts";

/** Tasks by order, each with its placement. */
const exercise = (...places: readonly number[]): ReadyExercise => ({
  ...{ id: "week1", title: null, due: null, pattern: "", known: "week1" },
  tasks: places.map((place, i) => ({
    ...{ id: `task-${i + 1}`, title: null, brief: { place }, frames: 1, files: null },
    by: "order",
  })),
});

/** Files of one student in their order, each by its content. */
function files(contents: readonly string[], { tasks }: ReadyExercise) {
  const handIns = contents.map((_, i): HandIn => {
    const task = tasks[i]?.id ?? null;
    const file = `s01/${i}.jpg`;
    return {
      ...{ student: "s01", exercise: "week1", task, path: file, file, beside: null },
      ...{ by: task === null ? null : "order", surplus: false },
    };
  });
  const record = { likeness: null, capturedAt: null, camera: null };
  const known = handIns.map((handIn, i): [HandIn, RecordedFile] => [
    handIn,
    { ...handIn, ...record, sha256: contents[i] as string },
  ]);
  return [handIns, new Map(known)] as const;
}

const doubted = (contents: readonly string[], ...places: readonly number[]): number => {
  const asked = exercise(...places);
  return orderDoubts(asked, ...files(contents, asked)).length;
};

test("order is in doubt with a file too few or too many", () => {
  expect(doubted(["tar", "snow"], -2, 2)).toBe(0);
  expect(doubted(["snow"], -2, 2)).toBe(1);
  expect(doubted(["tar", "tar again", "snow"], -2, 2)).toBe(1);
  expect(doubted([], -2, 2)).toBe(0);
});

test("a copy is no further file", () => {
  expect(doubted(["tar", "snow", "tar"], -2, 2)).toBe(0);
});

test("where every task asks for the same, no order matters", () => {
  expect(doubted(["one"], 0, 0)).toBe(0);
  expect(doubted(["one", "two"], 0)).toBe(0);
});
