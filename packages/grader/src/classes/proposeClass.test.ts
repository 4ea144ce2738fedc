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
    handIns,
  };
}

const STUDENTS = ["s01", "s02", "s03"];
const EXERCISES = ["week1", "week2"];
const each = (path: (student: string, exercise: string) => string): string[] =>
  EXERCISES.flatMap((exercise) => STUDENTS.map((student) => path(student, exercise)));

test("a student who is spelt in two ways is one, and two who hand in side by side are two", async () => {
  const folders = ["week1/Zoë Brandt", "week2/Zoe Brandt", "week1/Ana Sá", "week1/Ana Sa"];
  const { text, asked, strays, students } = await foundBy([
    ...folders.map((one) => `${one}/IMG_1.jpg`),
    "week2/Ana Sa/IMG_2.jpg",
  ]);
  expect(students).toHaveLength(3);
  expect(text.match(/Zo. Brandt/g)).toHaveLength(1);
  expect([asked, strays]).toEqual([5, 0]);
});

test("a copy by the system belongs to the student whose file it is", async () => {
  const copies = ["Kopie von s01_week1_IMG_1.jpg", "Copy (2) of Copy of s02_week2_IMG_1.jpg"];
  const files = [...each((s, e) => `${s}_${e}_IMG_1.jpg`), ...copies];
  const { students, asked, strays, handIns } = await foundBy(files);
  expect(students).toEqual(STUDENTS);
  expect([asked, strays]).toEqual([6, 0]);
  expect(handIns.map(({ file }) => file)).toEqual(expect.arrayContaining(copies));
});

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

describe("whose a picture is, by its name alone", () => {
  const knownIn = (files: readonly string[]) => {
    const { ready } = checkClassText(proposeClass("Evening", files) ?? "", "class.yaml");
    return ready && { hands: ready.exercises[0]?.pattern, of: ready.students.map((s) => s.known) };
  };
  const twice = (...names: string[]): string[] =>
    names.flatMap((name) => [`${name} (1).JPG`, `${name} (2).JPG`]);

  test.each([
    [
      "spaces and accents",
      twice("Müller Anna - IMG_1234", "Müller Ben - IMG_8"),
      "{student}*",
      ["Müller Anna", "Müller Ben"],
    ],
    [
      "one family name twice",
      twice("Müller_Anna_IMG_1234", "Müller_Ben_DSC00100", "Kaya_Can_P1010101"),
      "{student}*",
      ["Kaya_Can", "Müller_Anna", "Müller_Ben"],
    ],
    [
      "words for tasks that all share",
      ["anna_tar.jpg", "anna_snow.jpg", "ben_tar.jpg", "ben_snow.jpg"],
      "{student}*",
      ["anna", "ben"],
    ],
    [
      "hyphens and dots",
      twice("anna-lena_1", "anna-maria_1", "jo.k_2"),
      "{student}*",
      ["anna-lena", "anna-maria", "jo.k"],
    ],
    [
      "an exercise of two words",
      twice("Zoë week 1 IMG_3", "Zoë week 2 IMG_9", "Bo week 1 x"),
      "{student}*{exercise}*",
      ["Bo", "Zoë"],
    ],
    [
      "exercises in the names within a student's folder",
      ["Bo/week1 a.jpg", "Bo/week2 a.jpg", "Cy/week1 b.jpg"],
      "{student}/*{exercise}*",
      ["Bo", "Cy"],
    ],
    [
      "codes in folders whose names are no exercises",
      ["Snow/s01_a.jpg", "Snow/s02_a.jpg", "Tar/s01_b.jpg"],
      "{exercise}/{student}*",
      ["s01", "s02"],
    ],
    [
      "codes that are fewer than the exercises",
      ["Tar/s1/a.jpg", "Snow/s1/a.jpg", "Rope/s2/b.jpg"],
      "{exercise}/{student}",
      ["s1", "s2"],
    ],
    [
      "numbers of downloads",
      ["week1/Bo Ek_1023_file/a.jpg", "week2/Bo Ek_2201_file/a.jpg"],
      "{exercise}/{student}_*",
      ["Bo Ek"],
    ],
  ])("%s", (_, files, hands, of) => {
    expect(knownIn(files)).toEqual({ hands, of });
  });
});

test.each([
  [["-.jpg"]],
  [["IMG_1234 (1).JPG", "IMG_1234 (2).JPG", "DSC00100.jpg", "20250611_101500.jpg"]],
  [["week1/IMG_1.jpg", "week2/P1010101.jpg"]],
])("files that belong to nobody give no class file: %j", (files) => {
  expect(proposeClass("Empty", files)).toBeNull();
});
