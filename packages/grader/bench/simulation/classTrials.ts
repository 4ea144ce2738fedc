import { classProgress } from "../../src/classes/progress/classProgress.ts";
import type { TrendKind } from "../../src/classes/progress/missTrend.ts";
import { seededRandom } from "./random.ts";
import { type PlantedStudent, simulatedClass } from "./simulatedClass.ts";

/** Answers to students of one course. */
export interface CourseOutcome {
  /** What is true of the trend. */
  readonly course: PlantedStudent["course"];
  /** The students. */
  readonly students: number;
  /** Share of them with each answer, in [0, 1]. */
  readonly answers: Readonly<Record<TrendKind, number>>;
}

/** How often progress is recognised. Shares are in [0, 1]. */
export interface ClassTrials {
  /** How many classes. */
  readonly classes: number;
  /** The students. */
  readonly students: number;
  /** One for each course. */
  readonly courses: readonly CourseOutcome[];
  /** Of students who stay or get worse: said to improve. */
  readonly falseImproves: number;
  /** Of students who stay or improve: said to get worse. */
  readonly falseWorsens: number;
  /** The same shares by the number of exercises with frames, of students who stay as they are: said to improve. */
  readonly falseImprovesBy: Readonly<Record<number, number>>;
  /** Of students who improve, by the number of exercises with frames: recognised. */
  readonly improvesBy: Readonly<Record<number, number>>;
  /** What was said of causes. */
  readonly habits: {
    /** Students with a habit who missed in three of their last four exercises: it is named. */
    readonly recognised: number;
    /** Of all students: a cause is named that is not a habit of theirs. */
    readonly falseRepeats: number;
    /** Of students without a habit: a cause is named. */
    readonly falseWithoutHabit: number;
  };
}

interface Trial extends PlantedStudent {
  readonly answer: TrendKind;
  readonly exercises: number;
  readonly named: string | null;
  readonly missedOften: boolean;
}

/**
 * Tries progress on simulated classes whose students are known.
 *
 * @param classes - how many, of 20 students each
 * @param seed - the same seed gives the same classes
 */
export function classTrials(classes: number, seed: number): ClassTrials {
  const random = seededRandom(seed);
  const trials = Array.from({ length: classes }, () => simulatedClass(random)).flatMap(trialsOf);
  const steady = trials.filter(({ course }) => course === "steady");
  const improving = trials.filter(({ course }) => course === "improves");
  const without = trials.filter(({ habit }) => habit === null);
  const says = (kind: TrendKind) => (trial: Trial) => trial.answer === kind;
  return {
    classes,
    students: trials.length,
    courses: (["improves", "steady", "worsens"] as const).map((course) => {
      const own = trials.filter((trial) => trial.course === course);
      return {
        course,
        students: own.length,
        answers: {
          improves: share(own, says("improves")),
          worsens: share(own, says("worsens")),
          "no-clear-change": share(own, says("no-clear-change")),
          "cannot-tell-yet": share(own, says("cannot-tell-yet")),
        },
      };
    }),
    falseImproves: share(
      trials.filter(({ course }) => course !== "improves"),
      says("improves"),
    ),
    falseWorsens: share(
      trials.filter(({ course }) => course !== "worsens"),
      says("worsens"),
    ),
    falseImprovesBy: byExercises(steady, says("improves")),
    improvesBy: byExercises(improving, says("improves")),
    habits: {
      recognised: share(
        trials.filter(({ habit, missedOften }) => habit !== null && missedOften),
        ({ named, habit }) => named === habit,
      ),
      falseRepeats: share(trials, ({ named, habit }) => named !== null && named !== habit),
      falseWithoutHabit: share(without, ({ named }) => named !== null),
    },
  };
}

function trialsOf({ progress, students }: ReturnType<typeof simulatedClass>): Trial[] {
  const found = classProgress(progress);
  return students.map((student, i): Trial => {
    const own = found.students[i];
    const handedIn = own?.exercises.filter(({ frames }) => frames > 0) ?? [];
    return {
      ...student,
      answer: own?.trend.kind ?? "cannot-tell-yet",
      exercises: handedIn.length,
      named: own?.recurring?.cause ?? null,
      missedOften: handedIn.slice(-4).filter(({ missed }) => missed > 0).length >= 3,
    };
  });
}

function byExercises(
  trials: readonly Trial[],
  is: (trial: Trial) => boolean,
): Record<number, number> {
  const counts = [...new Set(trials.map(({ exercises }) => exercises))].sort((a, b) => a - b);
  return Object.fromEntries(
    counts.map((count) => [
      count,
      share(
        trials.filter(({ exercises }) => exercises === count),
        is,
      ),
    ]),
  );
}

function share<T>(values: readonly T[], is: (value: T) => boolean): number {
  return values.length === 0 ? 0 : values.filter(is).length / values.length;
}
