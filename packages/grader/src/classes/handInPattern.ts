import { GraderError } from "../model/errors.ts";

/** Where one file belongs by its path. */
export interface PatternMatch {
  /** What stands for the student, as the class file knows it. */
  readonly student: string;
  /** The same in the path, from the first to after the last character. */
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

/** More stars would let one path be matched in very many ways. */
const MOST_STARS = 6;

/** Letters and digits on either side would make another name of it: s1 is not s10. */
const [NAME_BEGINS, NAME_ENDS] = ["(?<![\\p{L}\\p{N}])", "(?![\\p{L}\\p{N}])"];

/**
 * Reads a pattern such as `{student}/{exercise}` or `{exercise}/{student}-*`. It matches a path, or a folder on the way to it;
 * case does not matter, nor how accents are encoded. `*` stands for part of a name, `**` for any folders.
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
  const segments = partsOf(text);
  const someone = `(?<student>${anyOf(students)})`;
  const matches = regexOf(segments, someone, exercise);
  const anyone = regexOf(segments, "(?<student>[^/]+?)", exercise);
  const fixed = segments.findIndex((segment) => /[{*]/.test(segment));
  return {
    text,
    namesExercise: text.includes(EXERCISE),
    root: segments.slice(0, Math.min(fixed, segments.length - 1)).join("/"),
    match: (path) => {
      const groups = matches.exec(path)?.indices?.groups;
      const at = groups?.["student"];
      if (!at) return null;
      const rest = groups?.["within"];
      const within = rest ? path.slice(rest[0] + 1, rest[1]) : "";
      const name = path.slice(path.lastIndexOf("/") + 1);
      return { student: path.slice(...at), studentAt: at, within: within === "" ? name : within };
    },
    anybody: (path) => anyone.exec(path)?.groups?.["student"] ?? null,
  };
}

function partsOf(text: string): readonly string[] {
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
  const [unknown] = /\{(?!student\}|exercise\})[^}]*\}?/.exec(text) ?? [];
  if (unknown !== undefined) refuse(`"${unknown}" stands for nothing`);
  if (count("*") > MOST_STARS) refuse(`"${text}" has more than ${MOST_STARS} stars`);
  return segments;
}

function regexOf(segments: readonly string[], student: string, exercise: string): RegExp {
  const named = (name: string): string => `${NAME_BEGINS}${name}${NAME_ENDS}`;
  const pieces = segments.map((segment, i) => {
    const slash = i === 0 ? "" : "/";
    if (segment === "**") return i === 0 ? "(?:[^/]+/)*?(?=[^/])" : "(?:/[^/]+)*?";
    const piece = segment
      .split(/(\{student\}|\{exercise\}|\*+)/)
      .map((part) => {
        if (part === STUDENT) return named(student);
        if (part === EXERCISE) return named(escaped(exercise.normalize("NFC")));
        return part.startsWith("*") ? "[^/]*" : escaped(part);
      })
      .join("");
    return segments[i - 1] === "**" && i === 1 ? piece : slash + piece;
  });
  return new RegExp(`^${pieces.join("")}(?<within>/.*)?$`, "iud");
}

function anyOf(names: readonly string[]): string {
  return [...names]
    .sort((a, b) => b.length - a.length)
    .map((name) => escaped(name.normalize("NFC")))
    .join("|");
}

function escaped(text: string): string {
  return text.replace(/[\\^$.*+?()[\]{}|/]/g, "\\$&");
}
