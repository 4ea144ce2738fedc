import { median } from "@tonefall/tone-core";
import { folded } from "../model/sameName.ts";
import { safeText } from "../model/words.ts";
import { isCameraName } from "./cameraNames.ts";
import { ID_FORM, LONGEST_ID } from "./classSchema.ts";
import { type GuessedLayout, guessLayout, withoutRespelt } from "./guessLayout.ts";
import { handInPattern } from "./handInPattern.ts";
import { wordsOf } from "./namesOfFiles.ts";

/** Codes are short and hold a digit; anything else may be a name, and gets a code. */
const CODE_FORM = /^(?=[^\s]*\d)[\p{L}\d_.-]{1,16}$/u;

/** Fewer letters name nothing. */
const LEAST_LETTERS = 3;

const LONGEST_NAME = 200;

/** A name of an exercise, and the ID that a class file gives it. */
interface NamedExercise {
  readonly id: string;
  readonly known: string;
}

/**
 * A first class file for a folder of hand-ins, which runs as it is. It measures and does not judge: only the teacher knows where
 * a tone belongs.
 *
 * @param name - of the class
 * @param files - paths of pictures from the folder, with forward slashes
 * @returns the text; null where no file tells whose it is
 */
export function proposeClass(name: string, files: readonly string[]): string | null {
  const layout = withOneSpelling(guessLayout(files), files);
  const { pattern, students } = layout;
  if (students.length === 0) return null;
  const exercises = exercisesOf(layout);
  return [
    "# yaml-language-server: $schema=node_modules/@tonefall/grader/schema/class.schema.json",
    "# A first class file, by what the folder holds now. Give every task its place, such as place: tar, and every",
    "# exercise its due date. Then run: tonefall class check class.yaml",
    "",
    `class: ${JSON.stringify(safeText(name).slice(0, LONGEST_NAME) || "class")}`,
    ...studentLines(students),
    `hand-ins: ${JSON.stringify(pattern)}`,
    "",
    "exercises:",
    ...exercises.flatMap((exercise) => exerciseLines(exercise, layout, files)),
    "",
    "# Levels, the best first: within the task's tolerance, at most 1 stop off, any miss.",
    "levels: { placed: tolerance, nearly: 1, not yet: any }",
    "",
  ].join("\n");
}

/** A layout in which a student whose name is spelt in two ways stands once. */
function withOneSpelling(layout: GuessedLayout, files: readonly string[]): GuessedLayout {
  const { pattern, students, exercises } = layout;
  const seen = new Map(students.map((student) => [folded(student), new Set<string>()]));
  for (const exercise of exercises.length > 0 ? exercises : [""]) {
    const { match } = handInPattern(pattern, students, exercise);
    for (const file of files) seen.get(folded(match(file)?.student ?? ""))?.add(exercise);
  }
  const none: ReadonlySet<string> = new Set();
  const one = withoutRespelt(students, (student) => seen.get(folded(student)) ?? none);
  return { ...layout, students: one };
}

function exercisesOf({ exercises }: GuessedLayout): readonly NamedExercise[] {
  if (exercises.length === 0) return [{ id: "exercise-1", known: "exercise-1" }];
  return exercises.map((known, i) => ({
    id: ID_FORM.test(known) && known.trim() === known ? known : `exercise-${i + 1}`,
    known,
  }));
}

function studentLines(students: readonly string[]): readonly string[] {
  if (students.every((known) => CODE_FORM.test(known))) {
    return ["students:", ...students.map((code) => `  - ${JSON.stringify(code)}`)];
  }
  const digits = Math.max(2, String(students.length).length);
  return [
    "# Codes, each with what stands for the student in the names of folders and files. Results show the codes alone.",
    "students:",
    ...students.map(
      (known, i) => `  s${String(i + 1).padStart(digits, "0")}: ${JSON.stringify(known)}`,
    ),
  ];
}

function exerciseLines(
  { id, known }: NamedExercise,
  { pattern, students }: GuessedLayout,
  files: readonly string[],
): readonly string[] {
  const { match } = handInPattern(pattern, students, known);
  const own = files.flatMap((file) => {
    const found = match(file);
    return found ? [{ student: folded(found.student), within: found.within, file }] : [];
  });
  const tasks = tasksOf(own, [...students, known]);
  return [
    `  ${JSON.stringify(id)}:`,
    ...(id === known ? [] : [`    folder: ${JSON.stringify(known)}`]),
    "    # due: 2025-06-14 18:00",
    "    tasks:",
    ...tasks.map(({ task, glob, frames }) => {
      const files_ = glob === null ? "" : `files: ${JSON.stringify(glob)}, `;
      return `      ${JSON.stringify(task)}: { ${files_}frames: ${frames}, region: spot } # add its place, such as place: tar`;
    }),
  ];
}

/** Tasks by the words that files of at least half of the students share; else one task by order. */
function tasksOf(
  files: readonly { readonly student: string; readonly within: string }[],
  known: readonly string[],
): readonly { readonly task: string; readonly glob: string | null; readonly frames: number }[] {
  const students = new Set(files.map(({ student }) => student));
  const names = new Set(known.flatMap((name) => [name, ...wordsOf(name)]).map(folded));
  const users = new Map<string, string[]>();
  for (const { student, within } of files) {
    const [word] = wordsOf(within.slice(within.lastIndexOf("/") + 1))
      .map(folded)
      .filter((one) => !names.has(one))
      .map((one) => one.replace(/\d{1,9}$/, ""))
      .filter(isTelling);
    if (word !== undefined) users.set(word, [...(users.get(word) ?? []), student]);
  }
  const shared = [...users].filter(([, own]) => 2 * new Set(own).size >= students.size);
  if (shared.length > 0) {
    return shared.map(([word, own]) => ({
      task: word,
      glob: `*${word}*`,
      frames: usualCount(own),
    }));
  }
  return [{ task: "frames", glob: null, frames: usualCount(files.map(({ student }) => student)) }];
}

function isTelling(word: string): boolean {
  const letters = word.replace(/\P{L}/gu, "").length;
  return (
    letters >= LEAST_LETTERS &&
    word.length <= LONGEST_ID &&
    !isCameraName(word) &&
    /^[\p{L}\p{N}]+$/u.test(word)
  );
}

/** How many files most students have, from 1. */
function usualCount(students: readonly string[]): number {
  const counts = new Map<string, number>();
  for (const student of students) counts.set(student, (counts.get(student) ?? 0) + 1);
  const middle = counts.size === 0 ? 1 : median([...counts.values()]);
  return Math.min(100, Math.max(1, Math.round(middle)));
}
