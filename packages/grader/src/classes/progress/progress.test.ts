import { describe, expect, test } from "vitest";
import { classTrials } from "../../../bench/simulation/classTrials.ts";
import { leaningTrials } from "../../../bench/simulation/leaningTrials.ts";
import type { CauseCode } from "../../model/cause.ts";
import { classProgress } from "./classProgress.ts";
import { leaningOf } from "./leaning.ts";
import { type ExerciseMisses, missTrend } from "./missTrend.ts";
import type { ProgressFrame } from "./progressFrame.ts";
import { recurringCause } from "./recurringCause.ts";
import { whatImproved } from "./whatImproved.ts";

const WEEKS = ["w1", "w2", "w3", "w4", "w5", "w6"];
const DARK: CauseCode = "followed-meter-on-dark";
const LITTLE: CauseCode = "compensated-too-little";

/** A frame that missed by so many stops, for a reason; held within a third. */
function frame(
  exercise: string,
  errorStops: number,
  cause: CauseCode = LITTLE,
  student = "S01",
  task = "tar",
): ProgressFrame {
  const missed = Math.abs(errorStops) > 1 / 3;
  const verdict = missed ? (errorStops > 0 ? "over" : "under") : "within";
  const file = `${exercise}/${student}/${task}.jpg`;
  return {
    ...{ student, exercise, task, file, verdict, errorStops },
    bound: null,
    placeStops: null,
    cause: missed ? cause : null,
  };
}

function weeks(...sizes: readonly (readonly number[])[]): ExerciseMisses[] {
  return sizes.map((own, i) => ({ place: i + 1, sizes: own }));
}

describe("a trend", () => {
  test("needs six frames of four exercises", () => {
    expect(missTrend(weeks([2, 2], [1, 1], [0.5, 0.5])).kind).toBe("cannot-tell-yet");
    expect(missTrend(weeks([2], [1.5], [1], [0.5])).kind).toBe("cannot-tell-yet");
    expect(missTrend(weeks([2, 2], [1.5], [1], [0.5, 0.5])).kind).toBe("improves");
    expect(missTrend([]).kind).toBe("cannot-tell-yet");
  });

  test("of equal steps has their slope, and an interval that holds it alone", () => {
    const { kind, stopsPerExercise, fitted } = missTrend(
      weeks([1.5], [1.25], [1], [0.75], [0.5], [0.25]),
    );
    expect(kind).toBe("improves");
    expect(stopsPerExercise).toEqual({ estimate: -0.25, from: -0.25, to: -0.25 });
    expect(fitted).toEqual({ first: 1.5, last: 0.25 });
  });

  test("says of three exercises whether each was closer than the one before, and no more", () => {
    const three = missTrend(weeks([2, 2], [0.9, 1], [0]));
    expect([three.kind, three.eachTime]).toEqual(["cannot-tell-yet", "smaller"]);
    expect(missTrend(weeks([2], [2], [0])).eachTime).toBeNull();
    expect(missTrend(weeks([2], [1])).eachTime).toBeNull();
  });

  test("turns round with the term", () => {
    const term = [1.8, 1.4, 1.5, 0.9, 0.7, 0.4, 0.5].map((size) => [size]);
    const [there, back] = [missTrend(weeks(...term)), missTrend(weeks(...term.toReversed()))];
    expect([there.kind, back.kind]).toEqual(["improves", "worsens"]);
    expect(back.stopsPerExercise?.estimate).toBeCloseTo(
      -(there.stopsPerExercise?.estimate as number),
      12,
    );
  });

  test("is not made by one evening, nor hidden by one", () => {
    expect(missTrend(weeks([0.4], [0.5], [9], [0.4], [0.5], [0.4])).kind).toBe("no-clear-change");
    expect(missTrend(weeks([1.8], [1.5], [1.3], [5], [0.6], [0.4], [0.2], [0.1])).kind).toBe(
      "improves",
    );
  });

  test("is not named for a change that nobody sees", () => {
    const tiny = [0.3, 0.28, 0.26, 0.24, 0.22, 0.2].map((size) => [size]);
    expect(missTrend(weeks(...tiny)).kind).toBe("no-clear-change");
  });

  test("is one of the size of misses: from too light to a little too dark is better", () => {
    const errors = [1.5, 1.2, -1, 0.7, -0.5, -0.4];
    const { students } = classProgress({
      students: ["S01"],
      exercises: WEEKS,
      frames: errors.map((error, i) => frame(WEEKS[i] as string, error)),
    });
    expect(students[0]?.trend.kind).toBe("improves");
    expect(students[0]?.exercises.map(({ errorStops }) => errorStops)).toEqual(errors);
  });
});

describe("a recurring cause", () => {
  const term = (...causes: readonly (CauseCode | null)[]): ProgressFrame[] =>
    causes.map((cause, i) => frame(WEEKS[i] as string, cause ? 1 : 0, cause ?? LITTLE));

  test("leads three of the last four exercises, and has their frames", () => {
    expect(recurringCause(term(DARK, LITTLE, DARK, DARK), WEEKS)).toEqual({
      cause: DARK,
      exercises: ["w1", "w3", "w4"],
      of: 4,
      files: ["w1/S01/tar.jpg", "w3/S01/tar.jpg", "w4/S01/tar.jpg"],
    });
  });

  test("is none after two, nor after three that are long past", () => {
    expect(recurringCause(term(DARK, DARK), WEEKS)).toBeNull();
    expect(recurringCause(term(DARK, DARK, DARK, LITTLE, null), WEEKS)).toBeNull();
  });

  test("is none that says nothing of the way of working", () => {
    expect(recurringCause(term("not-known", "not-known", "not-known"), WEEKS)).toBeNull();
  });

  test("stands behind more than half of an exercise's misses", () => {
    const two = WEEKS.slice(0, 3).flatMap((week) => [frame(week, 1, DARK), frame(week, 1, LITTLE)]);
    expect(recurringCause(two, WEEKS)).toBeNull();
    const three = [...two, ...WEEKS.slice(0, 3).map((week) => frame(week, 1, DARK))];
    expect(recurringCause(three, WEEKS)?.cause).toBe(DARK);
  });
});

describe("what improved", () => {
  test("is that all was held at last, the closest yet, and a cause that is gone", () => {
    const term = [
      frame("w1", 1.5, DARK),
      frame("w2", 1, DARK),
      frame("w3", 0.8, LITTLE),
      frame("w4", 0.1),
    ];
    expect(whatImproved(term, WEEKS).map(({ kind }) => kind)).toEqual([
      "all-held",
      "closest-yet",
      "cause-gone",
    ]);
  });

  test("is not that a cause is gone while a miss has no known cause, or while nothing could show it", () => {
    const kinds = (...frames: readonly ProgressFrame[]): string[] =>
      whatImproved(frames, WEEKS).map(({ kind }) => kind);
    const dark = [frame("w1", 1.5, DARK), frame("w2", 1.6, DARK)];
    expect(kinds(...dark, frame("w3", 0.5, LITTLE), frame("w4", 0.1))).toContain("cause-gone");
    expect(kinds(...dark, frame("w3", 0.1), frame("w4", 1.4, "not-known"))).toEqual([]);
    expect(kinds(...dark, frame("w3", 1.4, LITTLE), frame("w4", 1.4, LITTLE))).toEqual([]);
    const at = (week: string, placeStops: number): ProgressFrame => ({
      ...frame(week, 0.3),
      placeStops,
    });
    expect(kinds(...dark, at("w3", 1), at("w4", 1.5))).not.toContain("cause-gone");
    expect(kinds(...dark, at("w3", 1), at("w4", -1.5))).toContain("cause-gone");
  });

  test("is not that the last exercise is the closest yet where the first was held, or as close", () => {
    expect(whatImproved([frame("w1", 0.3), frame("w2", 0.2), frame("w3", 0)], WEEKS)).toEqual([]);
  });

  test("is nothing where nothing did", () => {
    expect(whatImproved([frame("w1", 0.5), frame("w2", 1)], WEEKS)).toEqual([]);
    expect(whatImproved([frame("w1", 0), frame("w2", 0)], WEEKS)).toEqual([]);
    expect(whatImproved([frame("w1", 2)], WEEKS)).toEqual([]);
  });
});

describe("a leaning", () => {
  /** One frame an exercise, by its error and where it was placed. */
  const term = (...errors: readonly (readonly [error: number, place: number])[]): ProgressFrame[] =>
    errors.map(([error, placeStops], i) => ({ ...frame(TERM[i] as string, error), placeStops }));
  const TERM = Array.from({ length: 12 }, (_, i) => `w${i + 1}`);
  const PLACES = [-2, 1.5, 0, -1.5, 1, -2, 1, -1.5];

  test("of all frames is a fact from four exercises on, and a habit from six", () => {
    const under = (count: number) =>
      leaningOf(term(...PLACES.slice(0, count).map((place) => [-0.7, place] as const)), TERM);
    expect(under(3)).toBeNull();
    expect(under(4)).toMatchObject({ tones: "all", side: "darker", of: 4, habit: false });
    expect(under(5)?.habit).toBe(false);
    expect(under(6)).toMatchObject({ tones: "all", side: "darker", of: 6, habit: true });
    expect(under(8)?.errorStops).toBe(-0.7);
    expect(under(8)?.files).toHaveLength(8);
  });

  test("of dark tones alone is seen where the others are held", () => {
    const errors = PLACES.map((place) => [place < -1 ? 1.2 : 0.1, place] as const);
    expect(leaningOf(term(...errors), TERM)).toMatchObject({
      ...{ tones: "dark", side: "lighter", of: 4, habit: true, errorStops: 1.2 },
      exercises: ["w1", "w4", "w6", "w8"],
    });
  });

  test("is none that was left behind, none of random sides, and none of what cannot be judged", () => {
    const seven = PLACES.slice(0, 7).map((place) => [-0.7, place] as const);
    expect(leaningOf(term(...seven, [0, 0]), TERM)).toBeNull();
    const sides = PLACES.map((place, i) => [i % 2 === 0 ? 0.7 : -0.7, place] as const);
    expect(leaningOf(term(...sides), TERM)).toBeNull();
    const open = term(...seven).map((one) => ({ ...one, verdict: "undecided" as const }));
    expect(leaningOf(open, TERM)).toBeNull();
  });

  test.each([4, 6, 8, 10])(
    "is a false habit below one time in twenty, after %i exercises",
    (count) => {
      const { none, all, dark } = leaningTrials(400, count, 5);
      expect(none).toBeLessThan(0.05);
      if (count < 6) return;
      expect(all).toBeGreaterThan(0.75);
      if (count >= 8) expect(dark).toBeGreaterThan(0.75);
    },
  );
});

describe("a class", () => {
  const students = ["S01", "S02", "S03", "S04", "S05"];
  const progress = classProgress({
    students,
    exercises: WEEKS,
    frames: students
      .slice(0, 4)
      .flatMap((student, i) => [
        frame("w1", i < 3 ? 1 + i / 10 : 0, DARK, student),
        frame("w1", i < 3 ? (i - 1) * 2 + 0.5 : 0, LITTLE, student, "sail"),
      ]),
  });

  test("has exercises that began, in the order of the term, with those who are missing", () => {
    expect(progress.exercises.map(({ exercise, missing }) => [exercise, missing])).toEqual([
      ["w1", 1],
    ]);
    expect(progress.students.map(({ student }) => student)).toEqual(students);
  });

  test("names tasks that most missed, and whether alike: then the brief is a matter of the next lesson", () => {
    expect(
      progress.missedTasks.map(({ task, missed, of, alike }) => [task, missed, of, alike]),
    ).toEqual([
      ["tar", 3, 4, true],
      ["sail", 3, 4, false],
    ]);
    expect(progress.nextLesson.map(({ kind }) => kind)).toEqual(["brief"]);
  });

  test("names the cause that leads most students' misses", () => {
    const shared = classProgress({
      students,
      exercises: WEEKS,
      frames: students.map((student, i) =>
        frame("w1", i < 4 ? 1 : 0, i < 3 ? DARK : LITTLE, student),
      ),
    });
    expect(shared.exercises[0]?.commonestCause).toEqual({ cause: DARK, students: 3, of: 4 });
    expect(shared.nextLesson[0]).toEqual({
      kind: "cause",
      cause: DARK,
      students: 3,
      of: 4,
      exercises: ["w1"],
    });
  });

  test("without a hand-in has nothing to say", () => {
    const empty = classProgress({ students, exercises: WEEKS, frames: [] });
    expect(empty).toMatchObject({ exercises: [], missedTasks: [], nextLesson: [] });
  });
});

// The full run, of 200 classes, is a benchmark: bench/progress.bench.mjs.
test("simulated classes: what is said falsely stays below one in twenty", () => {
  const { falseImproves, falseWorsens, courses, habits } = classTrials(40, 11);
  const steady = courses.find(({ course }) => course === "steady")?.answers;
  expect(falseImproves).toBeLessThan(0.05);
  expect(falseWorsens).toBeLessThan(0.05);
  expect(steady?.improves).toBeLessThan(0.06);
  expect(habits.falseRepeats).toBeLessThan(0.05);
  expect(habits.recognised).toBeGreaterThan(0.45);
  expect(courses.find(({ course }) => course === "improves")?.answers.improves).toBeGreaterThan(
    0.35,
  );
});
