import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { type Flag, type MarkedClass, type MarkedRow, markClass } from "@tonefall/grader";
import { Ajv2020 } from "ajv/dist/2020.js";
import { beforeAll, describe, expect, test } from "vitest";

// The sample class was made with known light and known mistakes. Everything that its sheet says is held against that.

interface FrameTruth {
  readonly file: string;
  readonly student: string;
  readonly exercise: string;
  readonly task: string;
  readonly compensationStops: number;
  readonly errorStops: number;
  readonly expectedVerdict: "over" | "under" | "within";
  readonly surplus?: true;
  readonly sameBytesAs?: string;
  readonly samePictureAs?: string;
  readonly stripped?: true;
}

interface ClassTruth {
  readonly students: readonly string[];
  readonly exercises: readonly {
    readonly id: string;
    readonly tasks: readonly { readonly id: string; readonly frames: number }[];
  }[];
  readonly planted: {
    readonly late: Readonly<Record<string, number>>;
    readonly missing: readonly string[];
    readonly absent: readonly string[];
    readonly surplus: Readonly<Record<string, string>>;
  };
  readonly frames: readonly FrameTruth[];
}

const FOLDER = resolve(import.meta.dirname, "../samples/class");
const SCHEMAS = resolve(import.meta.dirname, "../packages/grader/schema");
const truth: ClassTruth = JSON.parse(readFileSync(`${FOLDER}/truth.json`, "utf8"));

/** Grain and JPEG move a tone by less; a quarter of it is the measuring error of one rendered claim. */
const STOPS = 0.05;

/** Hours from the last due time that the class file gives to when the class was out, ten in the morning. */
const OUT_BEFORE_DUE_HOURS = 10;

let marked: MarkedClass;
let rows: readonly (MarkedRow & { readonly exercise: string })[];
beforeAll(async () => {
  ({ marked } = await markClass(`${FOLDER}/class.yaml`, { processes: false }));
  rows = marked.exercises.flatMap(({ id, rows }) => rows.map((row) => ({ exercise: id, ...row })));
});

describe("the sheet of the sample class", () => {
  test("has a row for every student, exercise and task", () => {
    const expected = truth.exercises.flatMap(({ id, tasks }) =>
      truth.students.flatMap((student) => tasks.map((task) => `${id} ${student} ${task.id}`)),
    );
    expect(rows.map(({ exercise, student, task }) => `${exercise} ${student} ${task}`)).toEqual(
      expected,
    );
  });

  test("gives every frame the verdict and error that it was made with", () => {
    const graded = new Map(
      rows.flatMap(({ frames }) => frames.map((frame) => [frame.file, frame] as const)),
    );
    const asked = truth.frames.filter(({ surplus }) => !surplus);
    expect([...graded.keys()].sort()).toEqual(asked.map(({ file }) => file));
    for (const { file, expectedVerdict, errorStops } of asked) {
      const { verdict, error } = graded.get(file)?.row ?? {};
      expect([file, verdict]).toEqual([file, expectedVerdict]);
      expect(Math.abs((error?.stops ?? Number.NaN) - errorStops), file).toBeLessThan(STOPS);
    }
  });

  test("names the cause that was planted, and none where the tone is in its place", () => {
    const causes = new Map(
      rows.flatMap(({ frames }) =>
        frames.map(({ file, row }) => [file, row.causes[0]?.code ?? null] as const),
      ),
    );
    const expected = truth.frames
      .filter(({ surplus }) => !surplus)
      .map((frame) => [frame.file, plantedCause(frame)] as const);
    expect(Object.fromEntries(causes)).toEqual(Object.fromEntries(expected));
  });

  test("suggests the level that the limits give", () => {
    const levels = rows.map(({ exercise, student, task, level }) => [
      `${student}/${exercise}/${task}`,
      level.level,
    ]);
    const expected = rows.map(({ exercise, student, task, frames }) => {
      const own = truth.frames.filter(
        (frame) =>
          frame.student === student &&
          frame.exercise === exercise &&
          frame.task === task &&
          !frame.surplus,
      );
      // Frames of one task of the sample reach the same level, or are missing.
      const worst = Math.max(...own.map(({ errorStops }) => Math.abs(errorStops)));
      const level = worst <= 1 / 3 ? "placed" : worst <= 1 ? "nearly" : "not yet";
      return [`${student}/${exercise}/${task}`, frames.length === 0 ? null : level];
    });
    expect(levels).toEqual(expected);
  });

  test("counts what is missing and what is too much", () => {
    const { planted } = truth;
    const missing = rows.flatMap(({ exercise, student, task, missing }) =>
      missing === 0 ? [] : [[exercise, student, task, missing]],
    );
    expect(missing).toEqual([
      ["week1", "s04", "tar", 2],
      ["week1", "s04", "slate", 1],
      ["week3", "s05", "sailcloth", 1],
    ]);
    expect([planted.absent, planted.missing]).toEqual([
      ["s04/week1"],
      ["s05/week3/sailcloth-2.jpg"],
    ]);
    expect(rows.flatMap(({ surplus }) => surplus)).toEqual(Object.keys(planted.surplus));
  });

  test("says who was late by the recorded time, and of whose clock that cannot be said", () => {
    const late = new Map<string, Set<unknown>>();
    for (const { exercise, student, frames } of rows) {
      for (const frame of frames) {
        const key = `${student}/${exercise}`;
        late.set(key, (late.get(key) ?? new Set()).add(frame.late.reason.code));
        const [hours] = Object.values(truth.planted.late);
        if (frame.late.hours === null) continue;
        // Taken within the two hours after the class was out, so many hours later.
        const least = (hours ?? 0) - OUT_BEFORE_DUE_HOURS;
        expect(frame.late.hours).toBeGreaterThan(least);
        expect(frame.late.hours).toBeLessThan(least + 2);
      }
    }
    const expected = [...late.keys()].map((key) => {
      if (key in truth.planted.late) return [key, ["late"]];
      if (key === "s05/week2") return [key, ["clock-in-doubt", "no-time-recorded"]];
      return [key, [key.startsWith("s05") ? "clock-in-doubt" : "in-time"]];
    });
    expect([...late].map(([key, codes]) => [key, [...codes]])).toEqual(expected);
  });

  test("points to what was planted for the teacher's eyes, and to nothing else", () => {
    const said = marked.exercises.flatMap(({ id, flags }) => flags.map((flag) => told(id, flag)));
    const planted = truth.frames.flatMap(
      ({ exercise, file, sameBytesAs, samePictureAs, stripped }): string[][] => [
        ...(sameBytesAs ? [[exercise, "same-bytes", file, sameBytesAs]] : []),
        ...(samePictureAs ? [[exercise, "same-picture", file, samePictureAs]] : []),
        ...(stripped ? [[exercise, "metadata-stripped", file]] : []),
      ],
    );
    const clocks = truth.exercises.map(({ id }) => [id, "clock-differs", "s05"]);
    expect(said.sort()).toEqual([...planted, ...clocks].sort());
  });

  test("gives every flag its evidence, and a sentence that accuses nobody", () => {
    for (const { message, evidence } of marked.exercises.flatMap(({ flags }) => flags)) {
      expect(evidence.length).toBeGreaterThan(0);
      expect(message).not.toMatch(/cheat|stole|steal|cop(?:y|ied) of|plagiar|fraud|guilty/i);
    }
  });

  test("follows its published schema, and holds no picture, however small", () => {
    const ajv = new Ajv2020({ allErrors: true, allowUnionTypes: true });
    ajv.addSchema(
      JSON.parse(readFileSync(`${SCHEMAS}/results.schema.json`, "utf8")),
      "results.schema.json",
    );
    const valid = ajv.compile(JSON.parse(readFileSync(`${SCHEMAS}/marked.schema.json`, "utf8")));
    const document = JSON.parse(JSON.stringify(marked));
    expect(valid(document), JSON.stringify(valid.errors?.slice(0, 3))).toBe(true);
    expect(valid({ ...document, surprise: 1 })).toBe(false);
    expect(JSON.stringify(document).includes('"likeness"')).toBe(false);
  });
});

/** Where the dial was left alone, the meter was followed; else it says which way it was turned, and how far. */
function plantedCause({ task, compensationStops, expectedVerdict }: FrameTruth): string | null {
  if (expectedVerdict === "within") return null;
  const dark = task === "tar" || task === "rope";
  if (compensationStops === 0) return dark ? "followed-meter-on-dark" : "followed-meter-on-light";
  return compensationStops < 0 === dark ? "compensated-too-little" : "compensated-wrong-way";
}

function told(exercise: string, { code, files, students }: Flag): string[] {
  return code === "clock-differs" ? [exercise, code, ...students] : [exercise, code, ...files];
}
