import { GraderError } from "../model/errors.ts";
import { folded, plainName } from "../model/sameName.ts";
import { copyMarkOf } from "./copyMark.ts";

/** Where one file belongs by its path. */
export interface PatternMatch {
  /** What stands for the student, as the class file knows it. */
  readonly student: string;
  /** The same in the path (accents in NFC), from the first to after the last character. */
  readonly studentAt: readonly [from: number, to: number];
  /** The rest of the path after the pattern, within the hand-in: a path of a file. */
  readonly within: string;
}

/** A pattern of hand-ins, ready to be matched against paths from the folder of all hand-ins. */
export interface HandInPattern {
  readonly text: string;
  /** Whether it tells exercises apart. */
  readonly namesExercise: boolean;
  /** The folders with which every match begins; empty for none. */
  readonly root: string;
  /** Where a path belongs; null where it does not match. */
  match(path: string): PatternMatch | null;
  /** What stands where the pattern expects a student, whoever that is; null where the rest does not match. */
  anybody(path: string): string | null;
}

const STUDENT = "{student}";
const EXERCISE = "{exercise}";

/** Nobody files hand-ins deeper. */
const MOST_SEGMENTS = 20;

/**
 * Reads a pattern such as `{student}/{exercise}` or `{exercise}/{student}-*`. It matches a path, or a folder on the way to it;
 * case does not matter, nor how accents are encoded. A name that nobody has may lack the accents of one that somebody has, or
 * have another apostrophe. `*` stands for part of a name, `**` for any folders.
 *
 * @param students - what stands for them in names
 * @param exercise - what stands for it
 * @throws {@link GraderError} `bad-class` with what is accepted
 */
export function handInPattern(
  text: string,
  students: readonly string[],
  exercise: string,
): HandInPattern {
  const segments = segmentsOf(text);
  const longestFirst = students.map(folded).sort((a, b) => b.length - a.length);
  const tokens = segments.map(tokensOf);
  const known = { exercise: folded(exercise), students: longestFirst };
  const plain = plainStudents(students);
  const plainTokens = segments.map((segment) => tokensOf(plainName(segment)));
  const respelt = {
    exercise: plainName(exercise),
    students: [...plain.keys()].sort((a, b) => b.length - a.length),
  };
  const fixed = segments.findIndex((segment) => /[{*]/.test(segment));
  const matchOf = (path: string): PatternMatch | null => {
    const exact = matchPath(tokens, path, known);
    const found = exact ?? matchPath(plainTokens, path, respelt, plainName);
    if (!found) return null;
    const [from, to] = found.studentAt;
    const named = path.slice(from, to);
    const rest = path.slice(found.end + 1);
    const name = path.slice(path.lastIndexOf("/") + 1);
    return {
      studentAt: found.studentAt,
      student: exact ? named : (plain.get(plainName(named)) as string),
      within: rest === "" ? name : rest,
    };
  };
  return {
    text,
    namesExercise: text.includes(EXERCISE),
    root: segments.slice(0, Math.min(fixed, segments.length - 1)).join("/"),
    match: (given) => {
      const path = given.normalize("NFC");
      return matchOf(path) ?? matchOfCopy(path, matchOf);
    },
    anybody: (given) => {
      const path = given.normalize("NFC");
      const found = matchPath(tokens, path, { ...known, students: null });
      return found && path.slice(...found.studentAt);
    },
  };
}

/** Where a file belongs that a system copied, and put words before its name for that. */
function matchOfCopy(
  path: string,
  matchOf: (path: string) => PatternMatch | null,
): PatternMatch | null {
  const nameAt = path.lastIndexOf("/") + 1;
  const { length } = copyMarkOf(path.slice(nameAt));
  const match = length > 0 ? matchOf(path.slice(0, nameAt) + path.slice(nameAt + length)) : null;
  if (!match) return null;
  const [from, to] = match.studentAt;
  return from < nameAt ? match : { ...match, studentAt: [from + length, to + length] };
}

/** Students by their names without accents; those whose names then are one are left out. */
function plainStudents(students: readonly string[]): ReadonlyMap<string, string> {
  const all = students.map((student) => [plainName(student), student] as const);
  return new Map(all.filter(([plain]) => all.filter(([other]) => other === plain).length === 1));
}

function segmentsOf(text: string): readonly string[] {
  const segments = text
    .trim()
    .normalize("NFC")
    .split("/")
    .filter((segment) => segment !== "" && segment !== ".");
  const refuse = (what: string): never => {
    throw new GraderError(
      "bad-class",
      `Expected a pattern such as {student}/{exercise} or {exercise}/{student}-* but ${what}`,
    );
  };
  const count = (part: string): number => segments.join("/").split(part).length - 1;
  if (/^[/\\]|^[A-Za-z]:/.test(text.trim()) || segments.includes("..")) {
    refuse(`"${text}" leaves the folder of all hand-ins`);
  }
  if (text.includes("\\")) refuse(`"${text}" has a backslash; write forward slashes`);
  if (count(STUDENT) !== 1) refuse(`"${text}" does not name {student} once`);
  if (count(EXERCISE) > 1) refuse(`"${text}" names {exercise} twice`);
  const [unknown] = /\{(?!student\}|exercise\})[^{}]*\}?/.exec(text) ?? [];
  if (unknown !== undefined) refuse(`"${unknown}" stands for nothing`);
  if (segments.length > MOST_SEGMENTS) refuse(`"${text}" has more than ${MOST_SEGMENTS} folders`);
  return segments;
}

/** A piece of a segment: text as it stands, or what stands for anything, a student or the exercise. */
type Token = "*" | "student" | "exercise" | { readonly text: string };

/** What a pattern knows; students null stands for anybody. */
interface Known {
  readonly exercise: string;
  readonly students: readonly string[] | null;
}

/** A place in a path, from its first to after its last character. */
type Place = readonly [from: number, to: number];

function tokensOf(segment: string): readonly Token[] | "**" {
  if (segment === "**") return "**";
  return segment
    .split(/(\{student\}|\{exercise\}|\*+)/)
    .filter((part) => part !== "")
    .map((part): Token => {
      if (part === STUDENT) return "student";
      if (part === EXERCISE) return "exercise";
      return part.startsWith("*") ? "*" : { text: folded(part) };
    });
}

/** Matches a pattern with a path or a folder on the way to it: where the student stands, and where the match ends. */
function matchPath(
  pattern: readonly (readonly Token[] | "**")[],
  path: string,
  known: Known,
  asCompared: (name: string) => string = folded,
): { readonly studentAt: Place; readonly end: number } | null {
  const names = path.split("/");
  const starts = names.map((_, i) =>
    names.slice(0, i).reduce((sum, { length }) => sum + length + 1, 0),
  );
  const failed = new Set<number>();
  const from = (i: number, j: number, student: Place | null): ReturnType<typeof matchPath> => {
    if (i === pattern.length) {
      return student && { studentAt: student, end: (starts[j] ?? path.length + 1) - 1 };
    }
    const state = i * (names.length + 1) + j;
    if (j >= names.length || failed.has(state)) return null;
    const segment = pattern[i] as readonly Token[] | "**";
    let found: ReturnType<typeof matchPath> = null;
    if (segment === "**") {
      found = from(i + 1, j, student) ?? from(i, j + 1, student);
    } else {
      const here = matchName(segment, names[j] as string, known, asCompared);
      const start = starts[j] as number;
      const at: Place | null = here?.student
        ? [start + here.student[0], start + here.student[1]]
        : student;
      found = here && from(i + 1, j + 1, at);
    }
    if (!found) failed.add(state);
    return found;
  };
  return from(0, 0, null);
}

/** Matches the tokens of a segment with a whole name: where the student stands in it, where one does. */
function matchName(
  tokens: readonly Token[],
  name: string,
  { exercise, students }: Known,
  asCompared: (name: string) => string,
): { readonly student: Place | null } | null {
  const lower = asCompared(name);
  // Few letters change their length with their case; a name with one of them is compared as it is.
  const text = lower.length === name.length ? lower : name;
  const failed = new Set<number>();
  const from = (i: number, at: number, student: Place | null): ReturnType<typeof matchName> => {
    const state = i * (text.length + 1) + at;
    if (failed.has(state)) return null;
    const token = tokens[i];
    let found: ReturnType<typeof matchName> = null;
    if (token === undefined) found = at === text.length ? { student } : null;
    else if (token === "*") {
      found = from(i + 1, at, student) ?? (at < text.length ? from(i, at + 1, student) : null);
    } else if (token === "student") {
      for (const end of students ? endsOfNames(students, text, at) : endsAfter(text, at)) {
        found ??= from(i + 1, end, [at, end]);
      }
    } else if (token === "exercise") {
      for (const end of endsOfNames([exercise], text, at)) found = from(i + 1, end, student);
    } else if (text.startsWith(token.text, at))
      found = from(i + 1, at + token.text.length, student);
    if (!found) failed.add(state);
    return found;
  };
  return from(0, 0, null);
}

/** Where names end that begin at a place; letters and digits on either side would make another name of it: s1 is not s10. */
function endsOfNames(names: readonly string[], text: string, at: number): readonly number[] {
  if (/[\p{L}\p{N}]$/u.test(text.slice(Math.max(0, at - 2), at))) return [];
  return names
    .filter((name) => text.startsWith(name, at))
    .map((name) => at + name.length)
    .filter((end) => !/^[\p{L}\p{N}]/u.test(text.slice(end, end + 2)));
}

function endsAfter(text: string, at: number): readonly number[] {
  return Array.from({ length: text.length - at }, (_, i) => at + 1 + i);
}
