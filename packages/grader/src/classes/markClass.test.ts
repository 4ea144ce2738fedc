import { createHash } from "node:crypto";
import { mkdir, mkdtemp, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import sharp, { type Exif } from "sharp";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import type { Flag, MarkedExercise, MarkedRow } from "../model/markedClass.ts";
import { SLIP_ABOUT } from "../model/slip.ts";
import { classFileAt } from "./classFileAt.ts";
import { type Marking, type MarkOptions, markClass } from "./markClass.ts";
import { recordPath, writeMarkRecord } from "./markRecord.ts";
import { termProgress } from "./progress/termProgress.ts";
import { readTemplates } from "./sheets/sheetTemplates.ts";
import { studentSheets } from "./sheets/studentSheet.ts";

let folder = "";
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), "tonefall class "));
});
afterEach(() => rm(folder, { recursive: true }));

const [WIDTH, HEIGHT] = [64, 48];

/** Middle grey in sRGB. */
const MIDDLE = 118;

/** A picture of its own for every seed: coarse tones around a code. */
function picture(seed: number, code = MIDDLE, taken = "2025:06:10 10:00:00"): Promise<Buffer> {
  const samples = new Uint8Array(WIDTH * HEIGHT).map((_, i) => {
    const [x, y] = [Math.floor((i % WIDTH) / 8), Math.floor(i / WIDTH / 8)];
    const turn = createHash("sha256").update(`${seed} ${x} ${y}`).digest()[0] as number;
    return code + (turn % 64) - 32;
  });
  const exif: Exif = {
    IFD0: { Make: "Tonefall", Model: `Camera ${seed}` },
    IFD2: { DateTimeOriginal: taken, FNumber: "8/1", ExposureTime: "1/125" },
  };
  return sharp(samples, { raw: { width: WIDTH, height: HEIGHT, channels: 1 } })
    .withExif(exif)
    .jpeg({ quality: 95 })
    .toBuffer();
}

async function put(path: string, bytes: Buffer | string): Promise<void> {
  const file = join(folder, path);
  await mkdir(dirname(file), { recursive: true });
  await writeFile(file, bytes);
}

const CLASS = `class: Evening
students: [s01, s02, s03]
hand-ins: "{student}/{exercise}"
exercises:
  week1:
    due: 2025-06-11
    tasks: { wall: { place: 0, files: "*wall*" } }
  week2:
    due: 2025-06-18
    tasks: { moss: { place: 0, files: "*moss*" } }
`;

async function mark(options: MarkOptions = {}, text = CLASS): Promise<Marking> {
  await put("class.yaml", text);
  return markClass(join(folder, "class.yaml"), { processes: false, ...options });
}

async function keep({ record }: Marking): Promise<void> {
  await writeMarkRecord(recordPath(join(folder, "class.yaml")), record);
}

function exerciseOf({ marked }: Marking, id: string): MarkedExercise {
  return marked.exercises.find((exercise) => exercise.id === id) as MarkedExercise;
}

function rowOf(marking: Marking, exercise: string, student: string): MarkedRow {
  return exerciseOf(marking, exercise).rows.find((row) => row.student === student) as MarkedRow;
}

function flagsOf(marking: Marking, exercise: string): readonly Pick<Flag, "code" | "files">[] {
  return exerciseOf(marking, exercise).flags.map(({ code, files }) => ({ code, files }));
}

describe("what lies in folders", () => {
  test("is found deeper, and with spaces, accents and any case", async () => {
    await put("s01/week1/to hand in/Zoe\u0308 wall.JPG", await picture(1));
    await put("S02/Week1/the WALL.jpg", await picture(2));
    const marking = await mark();
    expect(rowOf(marking, "week1", "s01").frames.map(({ file }) => file)).toEqual([
      "s01/week1/to hand in/Zoë wall.JPG",
    ]);
    expect(rowOf(marking, "week1", "s02").verdict).toBe("within");
    expect(rowOf(marking, "week1", "s03")).toMatchObject({
      frames: [],
      missing: 1,
      level: { level: null, reason: { code: "missing" } },
    });
  });

  test("is not judged where order alone gives a task, and a file is missing", async () => {
    const text = CLASS.replace(
      /tasks: { wall.*/,
      "tasks: { tar: { place: -2 }, mid: { place: 0 } }",
    );
    for (const student of ["s01", "s02"]) await put(`${student}/week1/2.jpg`, await picture(1));
    await put("s02/week1/1.jpg", await picture(2, 50));
    const marking = await mark({}, text);
    expect(rowOf(marking, "week1", "s02").verdict).not.toBeNull();
    expect(rowOf(marking, "week1", "s01")).toMatchObject({
      ...{ task: "tar", shown: null, verdict: null, error: null, cause: null },
      frames: [{ file: "s01/week1/2.jpg", level: null }],
      level: { level: null, reason: { code: "order-in-doubt" } },
    });
    expect(flagsOf(marking, "week1")).toContainEqual({
      code: "order-in-doubt",
      files: ["s01/week1/2.jpg"],
    });
    const { templates } = await readTemplates();
    const [sheet, other] = studentSheets(marking.marked, templates);
    expect(sheet?.exercises[0]?.frames[0]?.words.verdict).toContain("has not been judged");
    expect(other?.exercises[0]?.frames[0]?.words.verdict).not.toContain("has not been judged");
    const [progress] = termProgress(marking.marked).students;
    expect(progress?.exercises[0]).toMatchObject({ frames: 1, missed: 0, cause: null });
  });

  test("of nobody the class knows is reported, with the path for the teacher alone", async () => {
    await put("s01/week1/wall.jpg", await picture(1));
    await put("s04/week1/wall.jpg", await picture(4));
    await put("holiday/beach.jpg", await picture(5));
    const marking = await mark();
    expect(marking.found.strays.map(({ code, path }) => [code, path])).toEqual([
      ["unknown-place", "holiday/beach.jpg"],
      ["unknown-student", "s04/week1/wall.jpg"],
    ]);
    expect(exerciseOf(marking, "week1").strays.map(({ code }) => code)).toEqual([
      "unknown-place",
      "unknown-student",
    ]);
    expect(JSON.stringify(marking.marked)).not.toContain("holiday");
  });

  test("in the wrong exercise is counted, and said to belong elsewhere", async () => {
    await put("s01/week1/wall.jpg", await picture(1));
    await put("s01/week1/moss.jpg", await picture(2));
    const marking = await mark();
    expect(exerciseOf(marking, "week1").unasked).toEqual([
      { student: "s01", file: "s01/week1/moss.jpg" },
    ]);
    expect(flagsOf(marking, "week1")).toEqual([
      { code: "other-exercise", files: ["s01/week1/moss.jpg"] },
    ]);
  });

  test("raw beside rendered is one frame", async () => {
    await put("s01/week1/wall.jpg", await picture(1));
    await put("s01/week1/wall.DNG", "not opened");
    const marking = await mark();
    const row = rowOf(marking, "week1", "s01");
    expect(row.frames.map(({ file, beside }) => [file, beside])).toEqual([
      ["s01/week1/wall.jpg", "s01/week1/wall.DNG"],
    ]);
    expect([row.surplus, exerciseOf(marking, "week1").summary.unreadable]).toEqual([[], 0]);
  });

  test("that is one file twice is said so, and nothing of what was not opened", async () => {
    await put("s01/week1/wall 1.jpg", await picture(1));
    await put("s01/week1/wall 2.jpg", await picture(1));
    const [flag] = exerciseOf(await mark(), "week1").flags;
    expect(flag?.code).toBe("same-bytes");
    expect(flag?.evidence.map(({ code }) => code)).toEqual(["sha-256"]);
  });

  test("calls for the cautions that the exercise's title names", async () => {
    await put("s01/week1/wall.jpg", await picture(1));
    const titled = CLASS.replace("    due: 2025-06-11\n", "    title: Walls by the road\n");
    const [task] = exerciseOf(await mark({}, titled), "week1").tasks;
    expect(task?.cautions).toEqual([expect.stringMatching(/traffic/)]);
  });

  test("under a name is shown by its code alone", async () => {
    await put("Zoë Brown/week1/wall.jpg", await picture(1));
    await put("Zoë Brown/week1/broken wall.jpg", "no picture");
    const marking = await mark(
      {},
      CLASS.replace("[s01, s02, s03]", "{ s01: Zoë Brown, s02: , s03: }").replace(
        'files: "*wall*"',
        'files: "*wall*", frames: 2',
      ),
    );
    const { frames } = rowOf(marking, "week1", "s01");
    expect(frames.map(({ file, row }) => [file, row.file, row.failure?.code])).toEqual([
      ["s01/week1/broken wall.jpg", "s01/week1/broken wall.jpg", "not-a-picture"],
      ["s01/week1/wall.jpg", "s01/week1/wall.jpg", undefined],
    ]);
    expect(JSON.stringify(marking.marked)).not.toContain("Brown");
    expect(exerciseOf(marking, "week1").summary.unreadable).toBe(1);
  });

  test("in one flat folder is sorted by codes, and what no task asks for is listed", async () => {
    await put("s01-a.jpg", await picture(1));
    await put("s01-b.jpg", await picture(2));
    await put("s02-a.jpg", await picture(3));
    const flat = `class: Flat
students: [s01, s02]
hand-ins: "{student}*"
exercises: { week1: { tasks: { first: { place: 0 } } } }
`;
    const marking = await mark({}, flat);
    expect(rowOf(marking, "week1", "s01")).toMatchObject({ frames: [{ file: "s01-a.jpg" }] });
    expect(exerciseOf(marking, "week1").unasked).toEqual([{ student: "s01", file: "s01-b.jpg" }]);
  });

  test("may be recognised by the picture's own keyword", async () => {
    const keyword = (task: string): string =>
      `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:subject><rdf:Bag><rdf:li>tonefall:task=${task}</rdf:li></rdf:Bag></dc:subject></rdf:Description></rdf:RDF></x:xmpmeta>`;
    const withTask = async (seed: number, task: string): Promise<Buffer> =>
      sharp(await picture(seed))
        .withXmp(keyword(task))
        .jpeg()
        .toBuffer();
    await put("s01/week1/1.jpg", await withTask(1, "Moss"));
    await put("s01/week1/2.jpg", await withTask(2, "wall"));
    const marking = await mark(
      {},
      CLASS.replace('files: "*wall*"', "by: keyword").replace(
        "wall: {",
        "moss: { place: 0, by: keyword }, wall: {",
      ),
    );
    const rows = exerciseOf(marking, "week1").rows.filter(({ student }) => student === "s01");
    expect(rows.map(({ task, frames }) => [task, frames.map(({ file }) => file)])).toEqual([
      ["moss", ["s01/week1/1.jpg"]],
      ["wall", ["s01/week1/2.jpg"]],
    ]);
    expect(rows[0]?.frames[0]?.row.notes.map(({ code }) => code)).not.toContain("keyword-unknown");
  });

  test("two class files in a folder are refused by name, and so is none", async () => {
    await put("class.yaml", CLASS);
    await put("old.yaml", CLASS);
    await expect(classFileAt(folder)).rejects.toMatchObject({
      code: "bad-class",
      message: expect.stringMatching(/class\.yaml, .*old\.yaml/),
    });
    await rm(join(folder, "old.yaml"));
    expect(await classFileAt(folder)).toBe(join(folder, "class.yaml"));
    await rm(join(folder, "class.yaml"));
    await expect(classFileAt(folder)).rejects.toMatchObject({ code: "bad-class" });
  });
});

describe("copies", () => {
  test("are found by bytes, by picture and by moment, in earlier exercises too, one reason a pair", async () => {
    const original = await picture(1);
    const again = await sharp(original).resize(48).keepExif().jpeg({ quality: 50 }).toBuffer();
    await put("s01/week1/wall.jpg", original);
    await put("s02/week1/wall.jpg", again);
    await put("s03/week1/wall.jpg", await picture(3));
    await put("s01/week2/moss.jpg", await picture(4));
    await put("s02/week2/moss.jpg", await picture(3));
    // The same second and camera as the picture of the first, and another picture.
    const exif = { IFD0: { Make: "Tonefall", Model: "Camera 4" } };
    const other = await picture(5);
    await put(
      "s03/week2/moss.jpg",
      await sharp(other).withExifMerge(exif).jpeg({ quality: 95 }).toBuffer(),
    );
    const marking = await mark();
    expect(flagsOf(marking, "week1")).toEqual([
      { code: "same-picture", files: ["s02/week1/wall.jpg", "s01/week1/wall.jpg"] },
    ]);
    expect(flagsOf(marking, "week2")).toEqual([
      { code: "same-bytes", files: ["s02/week2/moss.jpg", "s03/week1/wall.jpg"] },
      { code: "same-moment", files: ["s03/week2/moss.jpg", "s01/week2/moss.jpg"] },
    ]);
  });

  test("of an earlier exercise are known from the record, without opening its files", async () => {
    await put("s01/week1/wall.jpg", await picture(1));
    await put("s02/week1/wall.jpg", await picture(2));
    await put("s03/week2/moss.jpg", await picture(1));
    expect((await mark({ exercises: ["week2"] })).notCompared).toEqual(["week1"]);
    await keep(await mark({ exercises: ["week1"] }));
    const later = await mark({ exercises: ["week2"] });
    expect(later.marked.exercises.map(({ id }) => id)).toEqual(["week2"]);
    expect(later.notCompared).toEqual([]);
    expect(flagsOf(later, "week2")).toEqual([
      { code: "same-bytes", files: ["s03/week2/moss.jpg", "s01/week1/wall.jpg"] },
    ]);
  });
});

test("frames that two students share earn neither of them praise", async () => {
  for (const [i, student] of ["s01", "s02", "s03"].entries()) {
    await put(`${student}/week1/wall.jpg`, await picture(i, 40));
    await put(`${student}/week2/moss.jpg`, await picture(Math.min(i, 1) + 7));
  }
  const { students } = termProgress((await mark()).marked);
  expect(students.map(({ improved }) => improved.some(({ kind }) => kind === "all-held"))).toEqual([
    ...[true, false, false],
  ]);
});

describe("what was marked before", () => {
  test("is noticed when it changes or goes, until the change is accepted", async () => {
    await put("s01/week1/wall.jpg", await picture(1));
    await put("s02/week1/wall.jpg", await picture(2));
    const first = await mark();
    expect(rowOf(first, "week1", "s01").frames[0]?.changed).toBeNull();
    await keep(first);
    await put("s01/week1/wall.jpg", await picture(7, 60));
    await rm(join(folder, "s02/week1/wall.jpg"));
    const both = [
      { code: "changed-after-marking", files: ["s01/week1/wall.jpg"] },
      { code: "changed-after-marking", files: ["s02/week1/wall.jpg"] },
    ];
    for (let run = 0; run < 2; run++) {
      const again = await mark();
      expect(flagsOf(again, "week1")).toEqual(both);
      // What is shown is the file as it is now.
      expect(rowOf(again, "week1", "s01")).toMatchObject({
        verdict: "under",
        frames: [{ changed: true }],
      });
      await keep(again);
    }
    await keep(await mark({ acceptChanges: true }));
    const accepted = await mark();
    expect(flagsOf(accepted, "week1")).toEqual([]);
    expect(rowOf(accepted, "week1", "s01").frames[0]?.changed).toBe(false);
  });

  test("is still there when another file of its shot is graded in its place", async () => {
    await put("s01/week1/wall.heic", "no picture");
    await keep(await mark());
    await put("s01/week1/wall.jpg", await picture(1));
    const again = await mark();
    expect(rowOf(again, "week1", "s01").frames[0]?.beside).toBe("s01/week1/wall.heic");
    expect(flagsOf(again, "week1")).toEqual([]);
  });

  test("a damaged line of the record is forgotten, and something else in its place is refused", async () => {
    await put("s01/week1/wall.jpg", await picture(1));
    await keep(await mark());
    const path = recordPath(join(folder, "class.yaml"));
    const text = await readFile(path, "utf8");
    await writeFile(path, text.replace('"sha256":"', '"sha256":"x'));
    expect(flagsOf(await mark(), "week1")).toEqual([]);
    await writeFile(path, "my notes\n");
    await expect(mark()).rejects.toMatchObject({ code: "bad-class" });
  });
});

describe("the teacher's levels", () => {
  const LEVELS = `week1:
  s01: { wall: { level: Nearly, why: the wall was wet } }
  s03: { wall: placed }
`;

  test("stand over the suggested ones, which stay to be seen", async () => {
    await put("s01/week1/wall.jpg", await picture(1));
    await put("class.levels.yaml", LEVELS);
    const marking = await mark();
    expect(rowOf(marking, "week1", "s01").level).toMatchObject({
      level: "nearly",
      suggested: "placed",
      override: { level: "nearly", why: "the wall was wet" },
    });
    expect(rowOf(marking, "week1", "s03").level).toMatchObject({
      level: "placed",
      suggested: null,
    });
    expect(exerciseOf(marking, "week1").summary.levels).toEqual({
      placed: 1,
      nearly: 1,
      "not yet": 0,
    });
  });

  test.each([
    [
      "s01:",
      "s011:",
      /class\.levels\.yaml:2:3: "s011" is not one of this class.s students.*did you mean "s01"/,
    ],
    ["week1", "week3", /:1:1: "week3" is not one of this class.s exercises/],
    ["wall: placed", "moss: placed", /:3:10: "moss" is not one of this class.s tasks/],
    ["placed", "good", /:3:\d+: "good" is not a level of this class; the levels are placed/],
  ])("%s as %s is refused with its place", async (from, to, says) => {
    await put("s01/week1/wall.jpg", await picture(1));
    await put("class.levels.yaml", LEVELS.replace(from, to));
    await expect(mark()).rejects.toMatchObject({
      code: "bad-class",
      message: expect.stringMatching(says),
    });
  });
});

describe("slips", () => {
  const slipOf = (
    student: string,
    sha256: string,
    row: object | null,
    given: object = {},
  ): string =>
    JSON.stringify({
      ...{ slip: 1, schemaVersion: 1, signed: false, about: SLIP_ABOUT, exercise: "week1" },
      ...{ exerciseSha256: "0".repeat(64), student, savedAt: "2025-06-10T10:00:00Z" },
      ...{ tonefall: "0.1.0", verdictHidden: false },
      frames: [
        {
          ...{ task: "wall", sha256, bytes: 1, region: "whole", regionFrom: "exercise" },
          ...{ predictedStops: null, row, ...given },
        },
      ],
    });
  const hashOf = (bytes: Buffer): string => createHash("sha256").update(bytes).digest("hex");

  test("say where the subject is, for a task that leaves it to the student", async () => {
    const [one, two] = [await picture(1), await picture(2)];
    const marked = { region: "circle:0.25,0.3,0.1", regionFrom: "student" };
    await put("s01/week1/wall.jpg", one);
    await put("s01/week1/slip.json", slipOf("s01", hashOf(one), null, marked));
    await put("s02/week1/wall.jpg", two);
    await put("s02/week1/slip.json", slipOf("s02", hashOf(one), null, marked));
    await put("s03/week1/wall.jpg", two);
    const nowhere = { ...marked, region: "circle:9,9,9" };
    await put("s03/week1/slip.json", slipOf("s03", hashOf(two), null, nowhere));
    const regionsOf = (marking: Marking) =>
      ["s01", "s02", "s03"].map((id) => rowOf(marking, "week1", id).frames[0]?.row.region);
    expect(regionsOf(await mark())).toEqual(["circle:0.25,0.3,0.1", "whole", "whole"]);
    const teacherSays = CLASS.replace('files: "*wall*"', 'region: spot, files: "*wall*"');
    expect(regionsOf(await mark({}, teacherSays))).toEqual(["spot", "spot", "spot"]);
  });

  test("stand in for pictures, agree with them, or are said to disagree", async () => {
    const [one, two] = [await picture(1), await picture(2)];
    await put("s01/week1/wall.jpg", one);
    await put("s02/week1/wall.jpg", two);
    const pictures = await mark();
    const [rowOne, rowTwo] = ["s01", "s02"].map(
      (student) => rowOf(pictures, "week1", student).frames[0]?.row,
    );
    await put("s01/week1/slip.json", slipOf("s01", hashOf(one), rowOne as object));
    const lighter = { ...rowTwo, fall: { ...rowTwo?.fall, stops: 0.5 } };
    await put("slips/x.json", slipOf("s02", hashOf(two), lighter));
    await put("slips/y.json", slipOf("s03", "1".repeat(64), rowOne as object));
    const marking = await mark();
    expect(flagsOf(marking, "week1")).toEqual([
      { code: "slip-disagrees", files: ["s02/week1/wall.jpg", "slip of s02"] },
    ]);
    const [flag] = exerciseOf(marking, "week1").flags;
    expect(flag?.evidence[0]?.message).toMatch(
      /the tone fell at \+0\.50; the picture shows [-+]?0\.\d\d\.$/,
    );
    expect(rowOf(marking, "week1", "s03")).toMatchObject({
      verdict: "within",
      missing: 0,
      frames: [{ from: "slip", by: "slip", row: { exposure: null } }],
    });
    expect(rowOf(marking, "week1", "s01").frames).toHaveLength(1);
  });

  test("of another file, damaged, or with a row of nonsense are no grade", async () => {
    await put("s01/week1/wall.jpg", await picture(1));
    await put("s01/week1/slip.json", slipOf("s01", "2".repeat(64), {}));
    await put("s02/week1/slip.json", '{"slip":1');
    await put("s03/week1/slip.json", slipOf("s03", "3".repeat(64), nonsense()));
    const marking = await mark();
    expect(marking.found.strays.map(({ code }) => code)).toContain("bad-slip");
    expect(rowOf(marking, "week1", "s03").frames).toEqual([]);
  });

  function nonsense(): object {
    return {
      ...{ file: "a.jpg", exposure: 7, verdict: "within", notes: [], failure: null },
      fall: { stops: 1e300 },
    };
  }
});

test("a clock in doubt is reported with the files of its camera alone", async () => {
  await put("s01/week1/wall.jpg", await picture(1));
  await put("s02/week1/wall.jpg", await picture(2));
  await put("s03/week1/wall-1.jpg", await picture(3));
  await put("s03/week1/wall-2.jpg", await picture(4, MIDDLE, "2015:06:10 10:00:00"));
  const marking = await mark(
    {},
    CLASS.replace("wall: { place: 0,", "wall: { place: 0, frames: 2,"),
  );
  expect(flagsOf(marking, "week1")).toEqual([
    { code: "clock-differs", files: ["s03/week1/wall-2.jpg"] },
  ]);
  expect(rowOf(marking, "week1", "s03").frames.map(({ late }) => late.late)).toEqual([false, null]);
});

test("an exercise that the class does not have is refused with those that it has", async () => {
  await put("s01/week1/wall.jpg", await picture(1));
  await expect(mark({ exercises: ["week9"] })).rejects.toMatchObject({
    message: expect.stringContaining("(week1, week2)"),
  });
});

test("marking writes nothing at all", async () => {
  await put("s01/week1/wall.jpg", await picture(1));
  await mark();
  const there = await readdir(folder, { recursive: true });
  expect(there.sort()).toEqual(["class.yaml", "s01", "s01/week1", "s01/week1/wall.jpg"]);
});
