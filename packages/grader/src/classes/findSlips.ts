import { open, readdir, readFile } from "node:fs/promises";
import { join, relative } from "node:path";
import type { GraderError } from "../model/errors.ts";
import { folded, sameName } from "../model/sameName.ts";
import { beginsSlip, type Slip } from "../model/slip.ts";
import type { ReadyClass } from "./classFile.ts";
import type { HandedSlip, Stray } from "./handIn.ts";
import { type HandInPattern, handInPattern } from "./handInPattern.ts";
import { readSlip } from "./readSlip.ts";

/** Characters at the start of a file that show whether it is a slip. */
const HEAD_BYTES = 64;

/** A thousand frames of a slip take less. */
const LARGEST_BYTES = 64_000_000;

/** Deeper folders are no hand-ins. */
const MOST_FOLDERS = 20;

/** Slips among hand-ins, and what is wrong with those that cannot be read. */
export interface FoundSlips {
  readonly slips: readonly HandedSlip[];
  readonly strays: readonly Stray[];
}

/**
 * Finds the slips that students handed in. A slip belongs to whom its place says; where its place says nothing, to whom the slip
 * itself names.
 *
 * @param roots - folders that hold hand-ins
 */
export async function findSlips(ready: ReadyClass, roots: readonly string[]): Promise<FoundSlips> {
  const known = ready.students.map((student) => student.known);
  const patterns = ready.exercises.map(({ id, pattern, known: exercise }) => ({
    id,
    pattern: handInPattern(pattern, known, exercise),
  }));
  const slips: HandedSlip[] = [];
  const strays: Stray[] = [];
  const seen = new Set<string>();
  for (const root of roots) {
    for await (const path of jsonFiles(root, MOST_FOLDERS)) {
      if (seen.has(path) || !(await isSlip(path))) continue;
      seen.add(path);
      const file = relative(ready.folder, path).replaceAll("\\", "/").normalize("NFC");
      try {
        const slip = readSlip(await slipText(path), file);
        const owned = ownerOf(slip, file, patterns, ready);
        if (owned) slips.push({ ...owned, frames: slip.frames });
        else {
          strays.push({
            code: "unknown-student",
            message:
              "A slip names no student or exercise of the class, and lies where nothing else tells. Move it to the student's folder.",
            path: file,
          });
        }
      } catch (error) {
        const { code, message } = error as GraderError;
        // The message names the file, which may hold a person's name.
        strays.push({ code, message: message.replaceAll(file, "a slip"), path: file });
      }
    }
  }
  return { slips, strays };
}

async function* jsonFiles(folder: string, depth: number): AsyncGenerator<string> {
  const entries = await readdir(folder, { withFileTypes: true }).catch(() => []);
  for (const entry of entries) {
    const path = join(folder, entry.name);
    if (entry.name.startsWith(".")) continue;
    if (entry.isDirectory() && depth > 0) yield* jsonFiles(path, depth - 1);
    else if (entry.isFile() && /\.json$/i.test(entry.name)) yield path;
  }
}

async function isSlip(path: string): Promise<boolean> {
  const file = await open(path).catch(() => null);
  if (!file) return false;
  try {
    const { buffer, bytesRead } = await file.read(Buffer.alloc(HEAD_BYTES), 0, HEAD_BYTES, 0);
    return beginsSlip(buffer.toString("utf8", 0, bytesRead));
  } catch {
    return false;
  } finally {
    await file.close();
  }
}

async function slipText(path: string): Promise<string> {
  const bytes = await readFile(path);
  return bytes.length > LARGEST_BYTES ? "" : bytes.toString("utf8");
}

function ownerOf(
  { student, exercise }: Slip,
  file: string,
  patterns: readonly { readonly id: string; readonly pattern: HandInPattern }[],
  { students, exercises }: ReadyClass,
): Pick<HandedSlip, "student" | "exercise" | "file"> | null {
  const named = exercises.find(({ id }) => sameName(id, exercise))?.id ?? null;
  const places = patterns.flatMap(({ id, pattern }) => {
    const match = pattern.match(file);
    return match ? [{ id, match }] : [];
  });
  // Where several exercises share a pattern, the slip says which one it is for.
  const place = places.find(({ id }) => id === named) ?? places[0];
  if (place) {
    const { match, id } = place;
    const owner = students.find((one) => folded(one.known) === folded(match.student));
    const [from, to] = match.studentAt;
    if (owner) {
      const shown = file.slice(0, from) + owner.code + file.slice(to);
      return { student: owner.code, exercise: id, file: shown };
    }
  }
  const owner = students.find(({ code }) => student !== null && sameName(code, student));
  // A place that tells nothing may hold a name, so that results name the slip by its owner.
  return owner && named !== null
    ? { student: owner.code, exercise: named, file: `slip of ${owner.code}` }
    : null;
}
