import { expect, test } from "vitest";
import { findCopies } from "./copies.ts";
import type { RecordedFile } from "./markRecord.ts";

/** A file that nothing was graded of, so that bytes and moments alone speak. */
function file(student: string, exercise: string, said: Partial<RecordedFile> = {}): RecordedFile {
  const name = `${student}/${exercise}/${said.sha256 ?? "one"}.jpg`;
  return {
    ...{ exercise, student, task: "wall", file: name, sha256: name, likeness: null },
    ...{ capturedAt: "2025-06-10T10:00:00", camera: "Tonefall One" },
    ...said,
  };
}

const codesOf = (files: readonly RecordedFile[], earlier: readonly RecordedFile[] = []) =>
  findCopies(files, earlier).map(({ code }) => code);

test("the same moment of two students is reported", () => {
  expect(codesOf([file("s01", "week1"), file("s02", "week1")])).toEqual(["same-moment"]);
  expect(codesOf([file("s02", "week2")], [file("s01", "week1")])).toEqual(["same-moment"]);
});

test("a student's own frames of one second are a burst, in one exercise or two", () => {
  expect(codesOf([file("s01", "week1"), file("s01", "week1", { sha256: "b" })])).toEqual([]);
  expect(codesOf([file("s01", "week2")], [file("s01", "week1")])).toEqual([]);
});

test("another second, another camera, or none recorded, is not one moment", () => {
  const one = file("s01", "week1");
  expect(codesOf([one, file("s02", "week1", { capturedAt: "2025-06-10T10:00:01" })])).toEqual([]);
  expect(codesOf([one, file("s02", "week1", { camera: "Tonefall Two" })])).toEqual([]);
  const blank = { capturedAt: null, camera: null };
  expect(codesOf([file("s01", "week1", blank), file("s02", "week1", blank)])).toEqual([]);
});

test("the same bytes are reported once, and by that alone", () => {
  const same = { sha256: "0".repeat(64) };
  expect(codesOf([file("s01", "week1", same), file("s02", "week1", same)])).toEqual(["same-bytes"]);
});
