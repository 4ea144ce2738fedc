import { power } from "@tonefall/tone-core";
import type { ProgressClass } from "../../src/classes/progress/classProgress.ts";
import type { ProgressFrame } from "../../src/classes/progress/progressFrame.ts";
import type { CauseCode } from "../../src/model/cause.ts";
import type { Random } from "./random.ts";

/** What is true of a simulated student. */
export interface PlantedStudent {
  /** The student's code. */
  readonly code: string;
  /** What is true of the trend. */
  readonly course: "improves" | "steady" | "worsens";
  /** The cause that stands behind most of the student's misses; null without a habit. */
  readonly habit: CauseCode | null;
}

/** A class whose students are known. */
export interface SimulatedClass {
  readonly progress: ProgressClass;
  /** The students. */
  readonly students: readonly PlantedStudent[];
}

const CAUSES: readonly CauseCode[] = [
  "followed-meter-on-dark",
  "followed-meter-on-light",
  "compensated-too-little",
  "compensated-too-far",
  "compensated-wrong-way",
  "needle-off-centre",
  "compensation-ignored-in-manual",
];

/** The error that still counts as held, stops. */
const TOLERANCE = 1 / 3;

/** How the errors of a class scatter. */
interface Habitat {
  readonly exercises: readonly string[];
  readonly frames: number;
  readonly skipped: number;
  /** Scatter of a frame about the student's level, as a share of that level. */
  readonly scatter: number;
  /** Scatter of an evening, shared by a student's frames of it, as a share of the level. */
  readonly evening: number;
  /** Difficulty of each exercise, shared by the class, as a factor of the miss. */
  readonly difficulty: readonly number[];
  readonly heavyTails: boolean;
  readonly abrupt: boolean;
  /** How often each cause stands behind a miss without a habit; sums to 1. */
  readonly mix: readonly number[];
}

/**
 * A class of students whose misses shrink, stay or grow along the term, and who have a habit or none.
 *
 * Classes differ in exercises (4 to 12), frames of each (1 to 4), scatter of frames and of evenings, difficulty of the
 * exercises, missing weeks (up to 30 %), heavy tails (a third of them: one frame in ten misses by three times as much), and
 * gradual or abrupt change. Causes without a habit come from a mix of the class's own, in which the commonest is behind up
 * to two misses in five. One cause in ten is named wrongly, another in ten not at all.
 */
export function simulatedClass(random: Random, students = 20): SimulatedClass {
  const habitat = randomHabitat(random);
  const planted = Array.from({ length: students }, (_, i): PlantedStudent => {
    const course = random.pick(["improves", "steady", "worsens"] as const);
    const habit = random.chance(0.4) ? random.pick(CAUSES) : null;
    return { code: `S${String(i + 1).padStart(2, "0")}`, course, habit };
  });
  const frames = planted.flatMap((student) => termOf(student, habitat, random));
  return {
    progress: { students: planted.map(({ code }) => code), exercises: habitat.exercises, frames },
    students: planted,
  };
}

function randomHabitat(random: Random): Habitat {
  const exercises = Array.from(
    { length: 4 + Math.floor(random.between(0, 9)) },
    (_, i) => `week-${i + 1}`,
  );
  const rough = random.between(0, 0.3);
  const weights = CAUSES.map(() => random.between(0.2, 1));
  const sum = weights.reduce((a, b) => a + b, 0);
  const shares = weights.map((weight) => weight / sum);
  const most = random.between(0, 0.25);
  const mix = shares.map((share, i) => share * (1 - most) + (i === 0 ? most : 0));
  return {
    exercises,
    frames: 1 + Math.floor(random.between(0, 4)),
    skipped: random.between(0, 0.3),
    scatter: random.between(0.2, 0.8),
    evening: random.between(0, 0.5),
    difficulty: exercises.map(() => power(2, random.normal(rough))),
    heavyTails: random.chance(1 / 3),
    abrupt: random.chance(0.5),
    mix,
  };
}

function termOf(student: PlantedStudent, habitat: Habitat, random: Random): ProgressFrame[] {
  const high = random.between(1, 2);
  const turn = random.between(0.25, 0.75);
  return habitat.exercises.flatMap((exercise, i) => {
    if (random.chance(habitat.skipped)) return [];
    const along = i / (habitat.exercises.length - 1);
    const level =
      levelAt(student.course, high, habitat.abrupt ? (along > turn ? 1 : 0) : along) *
      (habitat.difficulty[i] as number) *
      power(2, random.normal(habitat.evening));
    return Array.from({ length: habitat.frames }, (_, n) =>
      frameOf(student, exercise, n, level, habitat, random),
    );
  });
}

/** The usual miss of a student, stops: from a whole one to a quarter of it, and the reverse. */
function levelAt(course: PlantedStudent["course"], high: number, along: number): number {
  switch (course) {
    case "improves":
      return high * (1 - 0.8 * along);
    case "worsens":
      return high * (0.2 + 0.8 * along);
    case "steady":
      return 0.6 * high;
  }
}

function frameOf(
  { code, habit }: PlantedStudent,
  exercise: string,
  n: number,
  level: number,
  { scatter, heavyTails, mix }: Habitat,
  random: Random,
): ProgressFrame {
  const wild = heavyTails && random.chance(0.1) ? 3 : 1;
  const size = Math.abs(level * (1 + random.normal(scatter)) * wild);
  const errorStops = random.chance(0.5) ? size : -size;
  const isMissed = size > TOLERANCE;
  const drawn = habit !== null && random.chance(0.85) ? habit : drawnFrom(mix, random);
  const named = random.chance(0.1) ? random.pick(CAUSES) : random.chance(0.1) ? "not-known" : drawn;
  return {
    student: code,
    exercise,
    task: `task-${n + 1}`,
    file: `${exercise}/${code}/${n + 1}.jpg`,
    verdict: isMissed ? (errorStops > 0 ? "over" : "under") : "within",
    errorStops,
    bound: null,
    placeStops: null,
    cause: isMissed ? named : null,
  };
}

function drawnFrom(mix: readonly number[], random: Random): CauseCode {
  let left = random.between(0, 1);
  const at = mix.findIndex((share) => {
    left -= share;
    return left < 0;
  });
  return CAUSES[at < 0 ? CAUSES.length - 1 : at] as CauseCode;
}
