import { naturalOrder } from "../model/naturalOrder.ts";
import { folded } from "../model/sameName.ts";

/** How hand-ins seem to lie in a folder. */
export interface GuessedLayout {
  /** Where they lie, as a class file has it. */
  readonly pattern: string;
  /** What stands for the students, in natural order. */
  readonly students: readonly string[];
  /** What stands for the exercises, in natural order; empty where nothing does, and all is one exercise. */
  readonly exercises: readonly string[];
}

/** Words that begin names of exercises, in the languages that we could think of. */
const EXERCISE_WORDS =
  "week wk exercise ex task assignment lesson session unit homework hw day woche übung uebung aufgabe semaine exercice devoir semana ejercicio tarea settimana esercizio opdracht";

const EXERCISE_NAME = new RegExp(
  `^(?:${EXERCISE_WORDS.split(" ").join("|")})[ _.-]?\\d{1,3}(?!\\p{L})`,
  "iu",
);
const DATE_NAME = /^\d{4}-\d{2}(?:-\d{2})?(?!\d)/;

/** A layout counts when this share of the files fits it; the others become strays. */
const MOST = 0.8;

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
  const outerIsExercise =
    areExercises(outer) || (!areExercises(inner) && outer.length < inner.length);
  return outerIsExercise
    ? { pattern: "{exercise}/{student}", students: inner, exercises: outer }
    : { pattern: "{student}/{exercise}", students: outer, exercises: inner };
}

function oneFolder(paths: readonly string[][]): GuessedLayout {
  const folders = distinct(paths.map(([first = ""]) => first));
  if (!areExercises(folders)) return { pattern: "{student}", students: folders, exercises: [] };
  const codes = distinct(paths.map((path) => wordsOf(path.at(-1) as string)[0] ?? ""));
  return { pattern: "{exercise}/{student}*", students: codes, exercises: folders };
}

function flat(names: readonly string[]): GuessedLayout {
  const words = names.map(wordsOf);
  const [first, second] = [0, 1].map((i) => distinct(words.map((word) => word[i] ?? "")));
  if (first && second && areExercises(first)) {
    return { pattern: "{exercise}*{student}*", students: second, exercises: first };
  }
  if (first && second && areExercises(second)) {
    return { pattern: "{student}*{exercise}*", students: first, exercises: second };
  }
  return { pattern: "{student}*", students: first ?? [], exercises: [] };
}

/** The words of a file's name, without its extension. */
export function wordsOf(name: string): readonly string[] {
  return name
    .replace(/\.[^.]{1,5}$/, "")
    .split(/[-_ .()]+/)
    .filter((word) => word !== "");
}

/** Names, each once whatever its case, in natural order. */
function distinct(names: readonly string[]): readonly string[] {
  const seen = new Map(names.filter((name) => name !== "").map((name) => [folded(name), name]));
  return [...seen.values()].sort(naturalOrder);
}

function areExercises(names: readonly string[]): boolean {
  const like = names.filter((name) => EXERCISE_NAME.test(name) || DATE_NAME.test(name));
  return names.length > 0 && like.length >= MOST * names.length;
}
