import { naturalOrder } from "../model/naturalOrder.ts";
import { folded, plainName } from "../model/sameName.ts";
import { exerciseIn, MOST, studentsIn } from "./namesOfFiles.ts";

/** How hand-ins seem to lie in a folder. */
export interface GuessedLayout {
  /** Where they lie, as a class file has it. */
  readonly pattern: string;
  /** What stands for the students, in natural order; empty where nothing does. */
  readonly students: readonly string[];
  /** What stands for the exercises, in natural order; empty where nothing does, and all is one exercise. */
  readonly exercises: readonly string[];
}

const DATE_NAME = /^\d{4}-\d{2}(?:-\d{2})?(?!\d)/;

/** Few letters and a number, such as `s01` or `st-3`. */
const CODE_NAME = /^\p{L}{0,4}[ _.-]?\d{1,6}$/u;

/** A person's name, and a number that differs with every download. */
const NUMBERED_NAME = /^(.{1,80}?)_\d{3,12}(?:_.{0,80})?$/u;

/**
 * How hand-ins seem to lie: a folder for each student, a folder for each exercise, codes in the names of files, or all in one
 * folder.
 *
 * @param files - paths of pictures from the folder of all hand-ins, with forward slashes
 */
export function guessLayout(files: readonly string[]): GuessedLayout {
  const paths = files.map((file) => file.split("/"));
  const deep = (folders: number): readonly string[][] =>
    paths.filter(({ length }) => length > folders);
  if (deep(2).length >= MOST * paths.length) return twoFolders(deep(2));
  if (deep(1).length >= MOST * paths.length) return oneFolder(deep(1));
  return flat(paths.map((path) => path.at(-1) as string));
}

function twoFolders(paths: readonly string[][]): GuessedLayout {
  const outer = distinct(paths.map(([first = ""]) => first));
  const inner = distinct(paths.map(([, second = ""]) => second));
  if (isExercises(outer, inner)) {
    const { students, part } = withoutNumbers(inner);
    return { pattern: `{exercise}/${part}`, students, exercises: outer };
  }
  const { students, part } = withoutNumbers(outer);
  return { pattern: `${part}/{exercise}`, students, exercises: inner };
}

/** Whether the outer of two folders stands for the exercises: by its names, by the names of the others, or by being fewer. */
function isExercises(outer: readonly string[], inner: readonly string[]): boolean {
  if (areExercises(outer) !== areExercises(inner)) return areExercises(outer);
  if (areCodes(outer) !== areCodes(inner)) return areCodes(inner);
  return outer.length < inner.length;
}

function oneFolder(paths: readonly string[][]): GuessedLayout {
  const folders = distinct(paths.map(([first = ""]) => first));
  const names = paths.map((path) => path.at(-1) as string);
  const inNames = distinct(studentsIn(names));
  if (areExercises(folders) || (areCodes(inNames) && !areCodes(folders) && folders.length > 1)) {
    return { pattern: "{exercise}/{student}*", students: inNames, exercises: folders };
  }
  const { students, part } = withoutNumbers(folders);
  const exercises = exercisesIn(names);
  return exercises.length > 0
    ? { pattern: `${part}/*{exercise}*`, students, exercises }
    : { pattern: part, students, exercises: [] };
}

function flat(names: readonly string[]): GuessedLayout {
  const students = distinct(studentsIn(names));
  const exercises = exercisesIn(names);
  if (exercises.length === 0) return { pattern: "{student}*", students, exercises };
  const first = names.filter((name) => exerciseIn(name)?.at === 0);
  const pattern =
    first.length >= MOST * names.length ? "{exercise}*{student}*" : "{student}*{exercise}*";
  return { pattern, students, exercises };
}

/** The exercises that most files name; empty where they name none. */
function exercisesIn(names: readonly string[]): readonly string[] {
  const found = names.flatMap((name) => exerciseIn(name)?.name ?? []);
  return found.length >= MOST * names.length ? distinct(found) : [];
}

/** Students by folders whose names may carry a number of the download behind the name, and the pattern's part for them. */
function withoutNumbers(folders: readonly string[]): {
  readonly students: readonly string[];
  readonly part: string;
} {
  const names = folders.map((folder) => NUMBERED_NAME.exec(folder)?.[1] ?? null);
  const numbered = names.every((name) => name !== null);
  return numbered
    ? { students: distinct(names), part: "{student}_*" }
    : { students: folders, part: "{student}" };
}

/** Names, each once whatever its case, in natural order. */
function distinct(names: readonly (string | null)[]): readonly string[] {
  const given = names.filter((name) => name !== null && name !== "") as readonly string[];
  const seen = new Map(given.map((name) => [folded(name), name]));
  return [...seen.values()].sort(naturalOrder);
}

function areExercises(names: readonly string[]): boolean {
  const like = names.filter((name) => exerciseIn(name)?.at === 0 || DATE_NAME.test(name));
  return names.length > 0 && like.length >= MOST * names.length;
}

function areCodes(names: readonly string[]): boolean {
  const like = names.filter((name) => CODE_NAME.test(name) && !exerciseIn(name));
  return names.length > 0 && like.length >= MOST * names.length;
}

/**
 * Students without those whose names are another's without accents, and who never handed in beside it: one student, who is
 * spelt in two ways. The spelling that comes first stands for both.
 *
 * @param exercisesOf - where a student handed in
 */
export function withoutRespelt(
  students: readonly string[],
  exercisesOf: (student: string) => ReadonlySet<string>,
): readonly string[] {
  const kept: string[] = [];
  for (const student of students) {
    const alike = students.filter((other) => plainName(other) === plainName(student));
    const own = exercisesOf(student);
    const meets = alike.some(
      (other) => other !== student && [...exercisesOf(other)].some((id) => own.has(id)),
    );
    if (meets || !kept.some((other) => alike.includes(other))) kept.push(student);
  }
  return kept;
}
