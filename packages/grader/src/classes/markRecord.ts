import { readFile } from "node:fs/promises";
import { extname } from "node:path";
import { z } from "zod";
import { GraderError } from "../model/errors.ts";
import { writePlace } from "../run/write/writePlace.ts";
import { writeWhole } from "../run/write/writeWhole.ts";

/** A file as it was when it was marked, as far as later runs compare themselves with it. */
export interface RecordedFile {
  /** The exercise's ID. */
  readonly exercise: string;
  /** The student's code. */
  readonly student: string;
  /** The task's ID; null for a file that no task asked for. */
  readonly task: string | null;
  /** As results show it. */
  readonly file: string;
  /** SHA-256 of its bytes, hexadecimal. */
  readonly sha256: string;
  /** What the picture looks like from far away, as a row's `likeness`; null where it was not graded. */
  readonly likeness: string | null;
  /** Local time that it records; null where it records none. */
  readonly capturedAt: string | null;
  /** Make and model that it records; null where it records neither. */
  readonly camera: string | null;
}

const entrySchema: z.ZodType<RecordedFile> = z.strictObject({
  exercise: z.string(),
  student: z.string(),
  task: z.string().nullable(),
  file: z.string(),
  sha256: z.string().regex(/^[0-9a-f]{64}$/),
  likeness: z.string().nullable(),
  capturedAt: z.string().nullable(),
  camera: z.string().nullable(),
});

/** What earlier runs marked. */
export interface MarkRecord {
  /** Path of the record; it may not exist yet. */
  readonly path: string;
  readonly entries: readonly RecordedFile[];
  /** Lines that could not be read, and are forgotten. */
  readonly damaged: number;
}

const HEAD = '{"tonefall":"marked","schemaVersion":1}';

/** A record of this size would be of more hand-ins than a class gives in years. */
const LARGEST_BYTES = 256_000_000;

/** Where the record of a class stands: `class.marked.ndjson` beside `class.yaml`. */
export function recordPath(classFile: string): string {
  const extension = extname(classFile);
  return `${classFile.slice(0, classFile.length - extension.length)}.marked.ndjson`;
}

/**
 * Reads what earlier runs marked; nothing where there is no record.
 *
 * @throws {@link GraderError} `bad-class` where the file is something else, or cannot be read
 */
export async function readMarkRecord(path: string): Promise<MarkRecord> {
  let text: string;
  try {
    text = await readFile(path, "utf8");
  } catch (cause) {
    const { code } = cause as NodeJS.ErrnoException;
    if (code === "ENOENT") return { path, entries: [], damaged: 0 };
    throw new GraderError("bad-class", `The record ${path} cannot be read (${code})`, { cause });
  }
  const [head, ...lines] = text.split("\n");
  if (head !== HEAD || text.length > LARGEST_BYTES) {
    throw new GraderError(
      "bad-class",
      `Expected the record of earlier marking in ${path}, but the file holds something else; move it away`,
    );
  }
  const whole = lines.filter((line) => line !== "");
  const entries = whole.flatMap((line) => {
    const entry = entryOf(line);
    return entry ? [entry] : [];
  });
  return { path, entries, damaged: whole.length - entries.length };
}

function entryOf(line: string): RecordedFile | null {
  try {
    return entrySchema.safeParse(JSON.parse(line)).data ?? null;
  } catch {
    return null;
  }
}

/**
 * Writes the record anew, whole or not at all.
 *
 * @throws {@link GraderError} `would-overwrite` where something else stands there
 * @throws the file system's error
 */
export async function writeMarkRecord(
  path: string,
  entries: readonly RecordedFile[],
): Promise<void> {
  const place = writePlace({ path, kind: "marked", option: "the record of marking" });
  await writeWhole(place, [`${HEAD}\n`, ...entries.map((entry) => `${JSON.stringify(entry)}\n`)]);
}

/**
 * What the record holds after a run. A file keeps the hash that it was marked with until its change is accepted, so that the
 * change is reported again.
 *
 * @param marked - the exercises of the run
 */
export function recordAfter(
  before: readonly RecordedFile[],
  now: readonly RecordedFile[],
  marked: readonly string[],
  { accept }: { readonly accept: boolean },
): readonly RecordedFile[] {
  const keyOf = ({ exercise, file }: RecordedFile): string => JSON.stringify([exercise, file]);
  const others = before.filter(({ exercise }) => !marked.includes(exercise));
  const known = new Map(before.map((entry) => [keyOf(entry), entry]));
  const kept = now.map((entry) => (accept ? entry : (known.get(keyOf(entry)) ?? entry)));
  const present = new Set(now.map(keyOf));
  const gone = accept
    ? []
    : before.filter((entry) => marked.includes(entry.exercise) && !present.has(keyOf(entry)));
  return [...others, ...kept, ...gone];
}
