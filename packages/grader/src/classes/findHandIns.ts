import { access, readdir, realpath, stat } from "node:fs/promises";
import { join, relative } from "node:path";
import { nearestWord } from "@tonefall/tone-core";
import { nameGlob } from "../brief/nameGlob.ts";
import { GraderError } from "../model/errors.ts";
import type { RecognisedBy } from "../model/markedClass.ts";
import { naturalOrder } from "../model/naturalOrder.ts";
import { folded, sameName } from "../model/sameName.ts";
import { findFrames } from "../run/findFrames.ts";
import { readFrames } from "../run/gradeFrames.ts";
import { hashOf } from "../run/memory/contentOf.ts";
import type { ReadyClass, ReadyExercise, ReadyStudent, ReadyTask } from "./classFile.ts";
import { findSlips } from "./findSlips.ts";
import type { FoundHandIns, HandIn, Stray } from "./handIn.ts";
import { type HandInPattern, handInPattern, type PatternMatch } from "./handInPattern.ts";
import { shotsOf } from "./shotFiles.ts";

/** An exercise with its pattern. */
interface Sought {
  readonly exercise: ReadyExercise;
  readonly pattern: HandInPattern;
}

/** A file of a student and an exercise, its task not yet known. */
interface OwnedFile {
  readonly path: string;
  readonly file: string;
  readonly within: string;
}

/**
 * Finds what students handed in: which file belongs to whom, to which exercise, and to which of its tasks. Nothing is decoded;
 * only for tasks that are recognised by a keyword are metadata read.
 *
 * @throws {@link GraderError} `no-frames` where the folder of hand-ins is not there
 */
export async function findHandIns(ready: ReadyClass): Promise<FoundHandIns> {
  const { folder, students } = ready;
  const known = students.map((student) => student.known);
  const sought = ready.exercises.map((exercise) => ({
    exercise,
    pattern: handInPattern(exercise.pattern, known, exercise.known),
  }));
  const roots = await rootsOf(folder, sought);
  const files = await filesIn(roots);
  const slips = await findSlips(ready, roots);
  const byKnown = new Map(students.map((student) => [folded(student.known), student]));
  const owned = new Map<string, OwnedFile[]>();
  const strays: Stray[] = [];
  for (const path of files) {
    const file = relative(folder, path).replaceAll("\\", "/").normalize("NFC");
    const owners = ownersOf(file, sought);
    for (const { exercise, match } of owners) {
      const { code } = byKnown.get(folded(match.student)) as ReadyStudent;
      const key = ownerKey(exercise.id, code);
      const [from, to] = match.studentAt;
      const shown = file.slice(0, from) + code + file.slice(to);
      owned.set(key, [...(owned.get(key) ?? []), { path, file: shown, within: match.within }]);
    }
    if (owners.length === 0) strays.push(strayOf(file, sought, ready));
  }
  const handIns: HandIn[] = [];
  for (const { exercise } of sought) {
    for (const { code } of students) {
      const own = owned.get(ownerKey(exercise.id, code)) ?? [];
      handIns.push(...(await recognised(own, code, exercise)));
    }
  }
  return {
    handIns: withoutOthers(handIns, sought),
    slips: slips.slips,
    strays: [...strays, ...slips.strays],
  };
}

async function rootsOf(folder: string, sought: readonly Sought[]): Promise<readonly string[]> {
  const roots = [...new Set(sought.map(({ pattern }) => pattern.root))];
  const there = await Promise.all(roots.map((root) => foldersNamed(folder, root)));
  // An exercise whose folder is not there has not been handed in yet.
  const found = [...new Set(there.flat())];
  if (found.length > 0) return found;
  throw new GraderError(
    "no-frames",
    `Expected hand-ins in ${join(folder, roots[0] as string)} but there is no such folder; "hand-ins" and "folder" in the class file say where they lie`,
  );
}

/** The folders below another whose path is the one given, whatever its case and however its accents are stored. */
async function foldersNamed(folder: string, path: string): Promise<readonly string[]> {
  const asGiven = join(folder, path);
  if (await isThere(asGiven)) return [asGiven];
  let found = [folder];
  for (const name of path.split("/")) {
    found = (await Promise.all(found.map((above) => entriesNamed(above, name)))).flat();
  }
  return found;
}

async function entriesNamed(folder: string, name: string): Promise<string[]> {
  const names = await readdir(folder).catch(() => []);
  return names.filter((other) => sameName(other, name)).map((other) => join(folder, other));
}

async function isThere(path: string): Promise<boolean> {
  return access(path).then(
    () => true,
    () => false,
  );
}

async function filesIn(roots: readonly string[]): Promise<readonly string[]> {
  const { frames, unreadableFolders } = await findFrames(roots);
  const [unreadable] = unreadableFolders;
  if (unreadable && frames.length === 0) {
    throw new GraderError(
      "no-frames",
      `Expected hand-ins but the folder ${unreadable.path} cannot be read (${unreadable.reason})`,
    );
  }
  return withoutLinkedTwice(frames.map(({ path }) => path));
}

/** Files that two links reach are one file. */
async function withoutLinkedTwice(paths: readonly string[]): Promise<readonly string[]> {
  const seen = new Set<string>();
  const kept: string[] = [];
  for (const path of paths) {
    const real = await realpath(path).catch(() => path);
    if (!seen.has(real)) kept.push(path);
    seen.add(real);
  }
  return kept;
}

function ownerKey(exercise: string, code: string): string {
  return JSON.stringify([exercise, code]);
}

function ownersOf(
  file: string,
  sought: readonly Sought[],
): readonly { readonly exercise: ReadyExercise; readonly match: PatternMatch }[] {
  return sought.flatMap(({ exercise, pattern }) => {
    const match = pattern.match(file);
    return match ? [{ exercise, match }] : [];
  });
}

/** Gives each file of a student and exercise its task: by glob, else by keyword, else by order. */
async function recognised(
  files: readonly OwnedFile[],
  student: string,
  exercise: ReadyExercise,
): Promise<readonly HandIn[]> {
  const { tasks } = exercise;
  const taken = new Map<OwnedFile, readonly [ReadyTask, RecognisedBy]>();
  const globs = tasks.flatMap((task) =>
    task.files === null ? [] : [{ task, fits: nameGlob(task.files) }],
  );
  const byGlob = ({ within }: OwnedFile): ReadyTask | undefined => {
    const bare = within.slice(within.lastIndexOf("/") + 1);
    return globs.find(({ fits }) => fits(within) || fits(bare))?.task;
  };
  const { files: shots, beside } = shotsOf(
    [...files].sort((a, b) => naturalOrder(a.within, b.within)),
    (file) => byGlob(file) !== undefined,
  );
  const asked = tasks.reduce((sum, { frames }) => sum + frames, 0);
  const inOrder = shots.length > asked ? await repeatsLast(shots) : shots;
  for (const file of inOrder) {
    const task = byGlob(file);
    if (task) taken.set(file, [task, "files"]);
  }
  if (tasks.some(({ by }) => by === "keyword")) {
    const rest = inOrder.filter((file) => !taken.has(file));
    const named = await keywordTasks(rest.map(({ path }) => path));
    for (const [i, file] of rest.entries()) {
      const task = tasks.find(({ id }) => folded(id) === named[i]);
      if (task) taken.set(file, [task, "keyword"]);
    }
  }
  const places = tasks.flatMap((task) =>
    task.by === "order" ? Array.from({ length: task.frames }, () => task) : [],
  );
  for (const file of inOrder.filter((file) => !taken.has(file))) {
    const task = places.shift();
    if (task) taken.set(file, [task, "order"]);
  }
  const counts = new Map<ReadyTask, number>();
  const handIns = inOrder.map((file): HandIn => {
    const [task = null, by = null] = taken.get(file) ?? [];
    const before = task === null ? 0 : (counts.get(task) ?? 0);
    if (task !== null) counts.set(task, before + 1);
    return {
      student,
      exercise: exercise.id,
      task: task?.id ?? null,
      path: file.path,
      file: file.file,
      beside: beside.get(file)?.file ?? null,
      by,
      surplus: task !== null && before >= task.frames,
    };
  });
  const rank = ({ task }: HandIn): number => tasks.findIndex(({ id }) => id === task);
  return handIns.sort((a, b) => rank(a) - rank(b));
}

/**
 * Files with those last that repeat another: byte for byte, as a second download does, or by name, as a second attempt in a folder
 * of its own does. They should take no other file's place.
 */
async function repeatsLast(files: readonly OwnedFile[]): Promise<readonly OwnedFile[]> {
  const sizes = await Promise.all(
    files.map(({ path }) =>
      stat(path).then(
        ({ size }) => size,
        () => -1,
      ),
    ),
  );
  const seen = new Set<string>();
  const repeats = new Set(
    files.filter(({ within }, i) =>
      files.slice(0, i).some((earlier) => sameName(earlier.within, within)),
    ),
  );
  for (const [i, file] of files.entries()) {
    const size = sizes[i] as number;
    if (size < 0 || sizes.filter((other) => other === size).length < 2) continue;
    const hash = await hashOf(file.path).catch(() => file.path);
    if (seen.has(hash)) repeats.add(file);
    seen.add(hash);
  }
  return [...files.filter((file) => !repeats.has(file)), ...repeats];
}

const TASK_KEYWORD = /^tonefall:\s*task\s*=(.*)$/i;

/** The task that each picture's own keyword names, folded; null for none. */
async function keywordTasks(paths: readonly string[]): Promise<readonly (string | null)[]> {
  const named: (string | null)[] = [];
  for await (const { exposure } of readFrames(paths)) {
    const [, name] =
      (exposure?.keywords.value ?? [])
        .map((keyword) => TASK_KEYWORD.exec(keyword.trim()))
        .find((found) => found !== null) ?? [];
    named.push(name === undefined ? null : folded(name.trim()));
  }
  return named;
}

/**
 * Where several exercises share a pattern that does not tell them apart, a file belongs to those whose tasks recognise it; to
 * the last of them where none does.
 */
function withoutOthers(handIns: readonly HandIn[], sought: readonly Sought[]): readonly HandIn[] {
  const tellsApart = sought.every(({ pattern }) => pattern.namesExercise) || sought.length === 1;
  if (tellsApart) return handIns;
  const answered = new Set(handIns.flatMap(({ task, path }) => (task === null ? [] : [path])));
  const last = new Map(handIns.map((handIn) => [handIn.path, handIn]));
  return handIns.filter(
    (handIn) =>
      handIn.task !== null || (!answered.has(handIn.path) && last.get(handIn.path) === handIn),
  );
}

/** What to say of a file that belongs to nobody. */
function strayOf(file: string, sought: readonly Sought[], { students }: ReadyClass): Stray {
  const found = sought
    .map(({ pattern }) => pattern.anybody(file))
    .find((student) => student !== null);
  if (found !== undefined && found !== null) {
    const known = students.map((student) => student.known);
    const nearest = nearestWord(found, known);
    const meant = students.find((student) => student.known === nearest);
    const help = meant ? ` Its name is close to that of ${meant.code}.` : "";
    return {
      code: "unknown-student",
      message: `A hand-in belongs to a student whom the class file does not name.${help} Rename it, or add the student.`,
      path: file,
    };
  }
  const patterns = [...new Set(sought.map(({ pattern }) => pattern.text))];
  return {
    code: "unknown-place",
    message: `A picture lies where no hand-in is expected: the class file expects ${patterns.join(" or ")}. Move it, or add the exercise.`,
    path: file,
  };
}
