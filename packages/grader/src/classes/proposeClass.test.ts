import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { findHandIns } from "./findHandIns.ts";
import { proposeClass } from "./proposeClass.ts";
import { checkClassText } from "./readClass.ts";

let folder = "";
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), "tonefall new class "));
});
afterEach(() => rm(folder, { recursive: true }));

/** What a proposed class file finds among the files that it was proposed for. */
async function foundBy(files: readonly string[]) {
  for (const file of files) {
    await mkdir(dirname(join(folder, file)), { recursive: true });
    await writeFile(join(folder, file), "");
  }
  const text = proposeClass("Evening", files) ?? "";
  const { ready, problems } = checkClassText(text, join(folder, "class.yaml"));
  expect(problems).toEqual([]);
  if (!ready) throw new Error("Expected a class file that can be read");
  const { handIns, strays } = await findHandIns(ready);
  return {
    text,
    pattern: ready.exercises[0]?.pattern,
    students: ready.students.map(({ code }) => code),
    exercises: ready.exercises.map(({ id, tasks }) => [id, ...tasks.map((task) => task.id)]),
    asked: handIns.filter(({ task, surplus }) => task !== null && !surplus).length,
    strays: strays.length,
  };
}

const STUDENTS = ["s01", "s02", "s03"];
const EXERCISES = ["week1", "week2"];
const each = (path: (student: string, exercise: string) => string): string[] =>
  EXERCISES.flatMap((exercise) => STUDENTS.map((student) => path(student, exercise)));

describe("a first class file finds every hand-in", () => {
  test.each([
    ["a folder for each student", "{student}/{exercise}", each((s, e) => `${s}/${e}/IMG_1.jpg`)],
    ["a folder for each exercise", "{exercise}/{student}", each((s, e) => `${e}/${s}/IMG_1.jpg`)],
    ["codes in the names of files", "{exercise}/{student}*", each((s, e) => `${e}/${s}-IMG_1.jpg`)],
    ["one folder of downloads", "{student}*{exercise}*", each((s, e) => `${s}_${e}_IMG_1.jpg`)],
    ["the same, the other way round", "{exercise}*{student}*", each((s, e) => `${e} ${s} (1).jpg`)],
  ])("in %s", async (_, pattern, files) => {
    const found = await foundBy(files);
    expect(found).toMatchObject({
      pattern,
      students: STUDENTS,
      exercises: EXERCISES.map((id) => [id, "frames"]),
      asked: files.length,
      strays: 0,
    });
  });

  test("of one exercise alone", async () => {
    const found = await foundBy(["s01/a.jpg", "s01/b.jpg", "s02/a.jpg", "s02/c.jpg"]);
    expect(found).toMatchObject({ pattern: "{student}", asked: 4, strays: 0 });
    expect(found.exercises).toEqual([["exercise-1", "frames"]]);
  });

  test("with names in place of codes, which get codes", async () => {
    const found = await foundBy([
      "Anna Müller/Übung 1/tar.jpg",
      "Anna Müller/Übung 2/IMG_2.jpg",
      "Zoë/Übung 1/tar 2.jpg",
      "Zoë/Übung 2/IMG_7.jpg",
    ]);
    expect(found.students).toEqual(["s01", "s02"]);
    expect(found.text).toContain('s01: "Anna Müller"');
    expect(found.exercises).toEqual([
      ["Übung 1", "tar"],
      ["Übung 2", "frames"],
    ]);
    expect([found.asked, found.strays]).toEqual([4, 0]);
  });

  test("with dates for exercises, and hostile names", async () => {
    const found = await foundBy([
      "2025-06-11/s1/a: {b}.jpg",
      "2025-06-18/s1/#x.jpg",
      "2025-06-11/s2/'q'.jpg",
    ]);
    expect(found).toMatchObject({ pattern: "{exercise}/{student}", asked: 3, strays: 0 });
  });
});

test("files that belong to nobody give no class file", () => {
  expect(proposeClass("Empty", ["-.jpg"])).toBeNull();
});
