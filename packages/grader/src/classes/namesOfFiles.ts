import { folded } from "../model/sameName.ts";
import { isCameraName } from "./cameraNames.ts";
import { copyMarkOf } from "./copyMark.ts";

/** A guess counts when it fits this share of the files; the others become strays. */
export const MOST = 0.8;

/** Words that begin names of exercises, in the languages that we could think of. */
const EXERCISE_WORDS =
  "week|wk|exercise|ex|task|assignment|lesson|session|unit|homework|hw|day|woche|übung|uebung|aufgabe|semaine|exercice|devoir|semana|ejercicio|tarea|settimana|esercizio|opdracht";

const EXERCISE = new RegExp(
  `(?<![\\p{L}\\p{N}])(?:${EXERCISE_WORDS})[ _.-]?\\d{1,3}(?![\\p{L}\\p{N}])`,
  "iu",
);

/** What separates the parts of a file's name, the surest first: people's own names hold spaces, hyphens and dots. */
const SEPARATORS: readonly RegExp[] = [/ - /u, /_/u, /-/u, / /u];

/** The name of an exercise somewhere in the name of a file or folder, such as `week 1`; null for none. */
export function exerciseIn(name: string): { readonly name: string; readonly at: number } | null {
  const found = EXERCISE.exec(stemOf(name));
  return found && { name: found[0], at: found.index };
}

/** The words of a file's name, without its extension. */
export function wordsOf(name: string): readonly string[] {
  return stemOf(name)
    .split(/[-_ .()]+/)
    .filter((word) => word !== "");
}

function stemOf(name: string): string {
  return name.slice(copyMarkOf(name.normalize("NFC")).length).replace(/\.[^.]{1,5}$/, "");
}

/**
 * What stands for a student at the beginning of each file's name, after an exercise where one stands first: `s01` of
 * `s01_tar-1.jpg`, `Müller Anna` of `Müller Anna - IMG_1234 (2).JPG`.
 *
 * @returns for each name what stands for its student; null where nothing does
 */
export function studentsIn(names: readonly string[]): readonly (string | null)[] {
  for (const separator of SEPARATORS) {
    const found = names.map((name) => partsOf(name, separator)[0] ?? null);
    if (countOf(found) >= MOST * names.length) return withGivenNames(names, found, separator);
  }
  return names.map((name) => {
    const stem = withoutExercise(stemOf(name));
    const [word = ""] = wordsOf(stem);
    return word === "" || isCameraName(word) ? null : stem;
  });
}

function countOf(found: readonly (string | null)[]): number {
  return found.filter((one) => one !== null).length;
}

/** The parts of a name up to the first that a camera gave; none where it has but one part. */
function partsOf(name: string, separator: RegExp): readonly string[] {
  const stem = withoutExercise(stemOf(name));
  const parts = stem.split(separator).map((part) => part.trim());
  if (parts.length < 2 && stem === stemOf(name)) return [];
  const own = parts.map(ownWords);
  const end = own.findIndex((part, i) => part === "" || part !== parts[i]);
  const last = own[end] ?? "";
  return end < 0 ? own : [...own.slice(0, end), ...(last === "" ? [] : [last])];
}

/** A name without the exercise that begins it. */
function withoutExercise(stem: string): string {
  const found = exerciseIn(stem);
  return found?.at === 0 ? stem.slice(found.name.length).replace(/^[-_ .]+/, "") : stem;
}

/** The words of a part that come before an exercise or what a camera wrote. */
function ownWords(part: string): string {
  const words = [...part.slice(0, exerciseIn(part)?.at).matchAll(/[^-_ ]+/g)];
  const foreign = words.findIndex(([word]) => isCameraName(word) || word.startsWith("("));
  const last = words.at(foreign < 0 ? -1 : foreign - 1);
  return foreign === 0 || !last ? "" : part.slice(0, last.index + last[0].length);
}

/**
 * Adds a second part that is a name too, as in `Müller_Anna_1.jpg`. Words for tasks are shared by students; given names belong
 * to one family name each.
 */
function withGivenNames(
  names: readonly string[],
  found: readonly (string | null)[],
  separator: RegExp,
): readonly (string | null)[] {
  const seconds = names.map((name) => {
    const second = partsOf(name, separator)[1];
    return second !== undefined && /^\p{L}[\p{L}.'’-]*$/u.test(second) ? second : null;
  });
  const firstsOf = new Map<string, Set<string>>();
  const filesOf = new Map<string, number>();
  for (const [i, second] of seconds.entries()) {
    const first = found[i];
    if (second === null || first === null || first === undefined) continue;
    const key = folded(second);
    firstsOf.set(key, (firstsOf.get(key) ?? new Set()).add(folded(first)));
    const both = JSON.stringify([folded(first), key]);
    filesOf.set(both, (filesOf.get(both) ?? 0) + 1);
  }
  const families = new Set(found.flatMap((first) => (first === null ? [] : [folded(first)])));
  const telling =
    families.size > 1 &&
    countOf(seconds) >= MOST * names.length &&
    [...firstsOf.values()].filter(({ size }) => size === 1).length >= MOST * firstsOf.size &&
    [...filesOf.values()].filter((count) => count > 1).length >= MOST * filesOf.size;
  if (!telling) return found;
  return names.map((name, i) => {
    const [first, second] = [found[i] ?? null, seconds[i] ?? null];
    if (first === null || second === null) return first;
    const stem = stemOf(name);
    const from = stem.indexOf(first);
    return stem.slice(from, stem.indexOf(second, from + first.length) + second.length);
  });
}
