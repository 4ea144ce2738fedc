import { median, quantile } from "@tonefall/tone-core";
import type { CauseCode } from "../../model/cause.ts";
import { grouped } from "./grouped.ts";
import { type MissTrend, missTrend } from "./missTrend.ts";
import { isJudged, isMiss, type ProgressFrame } from "./progressFrame.ts";
import { leadingCause } from "./recurringCause.ts";
import { type StudentProgress, studentProgress } from "./studentProgress.ts";

/** The class in one exercise. */
export interface ClassExercise {
  /** The exercise's ID. */
  readonly exercise: string;
  /** Students with at least one judged frame. */
  readonly students: number;
  /** Students who handed in nothing. */
  readonly missing: number;
  /** Of the students' median misses, stops: the middle, and where the middle half lies. Null without a judged frame. */
  readonly missStops: {
    /** The middle of the sizes, stops. */
    readonly median: number;
    /** A quarter of them is smaller, stops. */
    readonly lowerQuartile: number;
    /** A quarter of them is larger, stops. */
    readonly upperQuartile: number;
  } | null;
  /** The cause that leads the misses of most students; null where none leads two. */
  readonly commonestCause: SharedCause | null;
}

/** A cause, and how many students it leads the misses of. */
export interface SharedCause {
  /** The cause. */
  readonly cause: CauseCode;
  /** The students. */
  readonly students: number;
  /** Students who missed at all. */
  readonly of: number;
}

/** A task that most students missed. */
export interface MissedTask {
  /** The exercise's ID. */
  readonly exercise: string;
  /** The task's ID. */
  readonly task: string;
  /** Students who missed it. */
  readonly missed: number;
  /** Students whose frames of it were judged. */
  readonly of: number;
  /** Median of the signed errors of those who missed, stops. */
  readonly errorStops: number;
  /**
   * Whether nearly all of them missed to the same side by about the same size: then the brief, or the light that all
   * shared, is the likelier reason.
   */
  readonly alike: boolean;
}

/** What the next lesson should cover, what matters to most students first. */
export type LessonTopic =
  | ({
      /** Branch on this. */
      readonly kind: "cause";
    } & SharedCause & {
        /** The exercises, in their order. */
        readonly exercises: readonly string[];
      })
  | ({
      /** Branch on this. */
      readonly kind: "brief";
    } & MissedTask)
  | {
      /** Branch on this. */
      readonly kind: "ask";
      /** The students. */
      readonly students: readonly string[];
    };

/** A class along the term. */
export interface ClassProgress {
  /** Exercises so far, in their order: those that anybody handed in for. */
  readonly exercises: readonly ClassExercise[];
  /** In the order of the class file, which ranks nobody. */
  readonly students: readonly StudentProgress[];
  /** Of the class's median miss. */
  readonly trend: MissTrend;
  /** In the order of exercises. */
  readonly missedTasks: readonly MissedTask[];
  /** At most three topics, what matters to most students first. */
  readonly nextLesson: readonly LessonTopic[];
}

/** A class, as progress sees it. */
export interface ProgressClass {
  /** Codes, in the order of the class file. */
  readonly students: readonly string[];
  /** Exercises, in the order of the term. */
  readonly exercises: readonly string[];
  /** The frames. */
  readonly frames: readonly ProgressFrame[];
}

/** The last exercises, on which the next lesson rests. */
const RECENT = 2;

/** Students who share a cause before it is a matter for a lesson. */
const LEAST_SHARED = 2;

/** Students below which "most of them" says nothing. */
const LEAST_STUDENTS = 4;

/** Misses to the same side, and within this many stops of their median, are alike. */
const ALIKE = { share: 0.75, stops: 0.5 } as const;

/** Lessons have an end: topics at most. */
const MOST_TOPICS = 3;

/** Progress of a class and of each student over all exercises so far. */
export function classProgress({ students, exercises, frames }: ProgressClass): ClassProgress {
  const begun = exercises.filter((id) => frames.some(({ exercise }) => exercise === id));
  const known = frames.filter(({ student }) => students.includes(student));
  const of = grouped(known, ({ student }) => student);
  const each = students.map((student) => studentProgress(student, of.get(student) ?? [], begun));
  const overall = begun.map((exercise, i) => classExercise(exercise, i, each, known));
  const missedTasks = begun.flatMap((exercise) => tasksMissed(exercise, known));
  return {
    exercises: overall,
    students: each,
    trend: missTrend(
      overall.map(({ missStops }, i) => ({
        place: i + 1,
        sizes: missStops ? each.flatMap((one) => one.exercises[i]?.missStops?.median ?? []) : [],
      })),
    ),
    missedTasks,
    nextLesson: nextLesson(begun.slice(-RECENT), known, missedTasks, each),
  };
}

function classExercise(
  exercise: string,
  at: number,
  students: readonly StudentProgress[],
  frames: readonly ProgressFrame[],
): ClassExercise {
  const own = students.map(({ exercises }) => exercises[at]);
  const sizes = own.flatMap((one) => one?.missStops?.median ?? []);
  return {
    exercise,
    students: sizes.length,
    missing: own.filter((one) => one?.frames === 0).length,
    missStops:
      sizes.length > 0
        ? {
            median: median(sizes),
            lowerQuartile: quantile(sizes, 0.25),
            upperQuartile: quantile(sizes, 0.75),
          }
        : null,
    commonestCause: sharedCause(frames.filter((frame) => frame.exercise === exercise)),
  };
}

/** The cause that leads the misses of most students among some frames; equal counts go to the one that came first. */
function sharedCause(frames: readonly ProgressFrame[]): SharedCause | null {
  const byStudent = [...grouped(frames, ({ student }) => student).values()];
  const counts = new Map<CauseCode, number>();
  for (const own of byStudent) {
    const cause = leadingCause(own);
    if (cause) counts.set(cause, (counts.get(cause) ?? 0) + 1);
  }
  const [first] = [...counts].sort(([, a], [, b]) => b - a);
  if (!first || first[1] < LEAST_SHARED) return null;
  const [cause, students] = first;
  return { cause, students, of: byStudent.filter((own) => own.some(isMiss)).length };
}

function tasksMissed(exercise: string, frames: readonly ProgressFrame[]): MissedTask[] {
  const own = frames.filter((frame) => frame.exercise === exercise && isJudged(frame));
  return [...grouped(own, ({ task }) => task)].flatMap(([task, answers]) => {
    const byStudent = [...grouped(answers, ({ student }) => student).values()];
    const missed = byStudent.filter((one) => 2 * one.filter(isMiss).length > one.length);
    if (byStudent.length < LEAST_STUDENTS || 2 * missed.length <= byStudent.length) return [];
    const errors = missed.map((one) => median(one.map(({ errorStops }) => errorStops ?? 0)));
    const middle = median(errors);
    const near = errors.filter(
      (error) => error * middle > 0 && Math.abs(error - middle) <= ALIKE.stops,
    );
    const alike = near.length >= ALIKE.share * errors.length;
    const counts = { missed: missed.length, of: byStudent.length };
    return [{ exercise, task, ...counts, errorStops: middle, alike }];
  });
}

function nextLesson(
  recent: readonly string[],
  frames: readonly ProgressFrame[],
  missedTasks: readonly MissedTask[],
  students: readonly StudentProgress[],
): LessonTopic[] {
  const shared = sharedCause(frames.filter(({ exercise }) => recent.includes(exercise)));
  const cause = shared ? [{ kind: "cause" as const, ...shared, exercises: recent }] : [];
  const briefs = missedTasks
    .filter(({ exercise, alike }) => alike && recent.includes(exercise))
    .map((task) => ({ kind: "brief" as const, ...task }));
  const worse = students.filter(({ trend }) => trend.kind === "worsens").map((one) => one.student);
  const ask = worse.length > 0 ? [{ kind: "ask" as const, students: worse }] : [];
  return [...cause, ...briefs, ...ask].slice(0, MOST_TOPICS);
}
