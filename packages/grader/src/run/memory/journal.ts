import { createHash } from "node:crypto";
import {
  closeSync,
  fdatasync,
  fstatSync,
  openSync,
  readSync,
  truncateSync,
  writeSync,
} from "node:fs";
import { type FileHandle, open } from "node:fs/promises";
import { promisify } from "node:util";
import { z } from "zod";
import { GraderError } from "../../model/errors.ts";
import { type FrameResult, SCHEMA_VERSION } from "../../model/result.ts";
import { writePlace } from "../write/writePlace.ts";
import { writeWhole } from "../write/writeWhole.ts";
import { buildVersion } from "./buildVersion.ts";
import { digestOf, optionsDigest } from "./claimDigest.ts";
import { contentOf } from "./contentOf.ts";
import type { RowMemory } from "./rowMemory.ts";
import { wholeLines } from "./wholeLines.ts";

/** The results of a run so far, in a file from which the run can resume. */
export interface Journal extends RowMemory {
  /** Rows that it held when it was opened. */
  readonly rows: number;
  /** Damaged lines that were removed when it was opened; their frames are graded again. */
  readonly damaged: number;
  /** Writes all rows to the disk and closes the file. */
  readonly close: () => Promise<void>;
}

/** What identifies a run, so that its journal is never taken for another's. */
export interface JournaledRun {
  /** What the frames are asked to show, as plain data: a brief, or all that briefs are made from. */
  readonly brief: unknown;
  /** How the frames are graded. Options that do not change a frame's own row may differ from run to run. */
  readonly options: object;
}

const headSchema = z.object({
  tonefall: z.literal("journal"),
  schemaVersion: z.number(),
  version: z.string(),
  brief: z.string(),
  options: z.string(),
});

/** Rows are written to the file at once, which survives the end of the process, and reach the disk within this many milliseconds. */
const SYNC_AFTER = 2000;

/** The line of a row without its last brace: key, checksum, and the row as JSON. */
const ROW_LINE = /^\{"key":"([0-9a-f]{64})","sum":"([0-9a-f]{64})","row":/;
/** The characters of a line that come before its row. */
const ROW_AT: number = '{"key":"","sum":"","row":'.length + 2 * 64;

/** A first line ends so. */
const HEAD_SUM = /,"sum":"([0-9a-f]{64})"\}$/;

/**
 * Opens the journal of a run, or starts one where there is none.
 *
 * The file is ndjson that only grows: a first line that says whose run it is, then a line for each graded frame, under a
 * key made from its path, size, time of last change, brief and options. Every line has a checksum. A last line that was
 * torn is dropped, and so is any that was damaged: their frames are graded again, and so are frames whose file changed.
 *
 * @param path - of the journal
 * @throws {@link GraderError} `bad-journal` when the file is not a journal or that of another run, or cannot be written;
 *   so does keeping a row when another process has written to it since
 */
export async function openJournal(path: string, run: JournaledRun): Promise<Journal> {
  const head = {
    tonefall: "journal" as const,
    schemaVersion: SCHEMA_VERSION,
    version: buildVersion(),
    brief: digestOf({ brief: run.brief }),
    options: optionsDigest(run.options),
  };
  const { places, damaged } = await withJournalErrors(path, () => heldBy(path, head));
  const rows = places.size;
  const file = await withJournalErrors(path, async () => openSync(path, "a+"));
  let end = fstatSync(file).size;
  const sync = syncing(file);
  return {
    rows,
    damaged,
    // Bytes have neither path nor time.
    identify: async (source, stamp) => (source instanceof Uint8Array ? contentOf(source) : stamp),
    recall: async (key) => {
      const place = places.get(key);
      return place ? rowAt(file, place, key, head) : null;
    },
    keep: (key, row) =>
      withJournalErrors(path, async () => {
        if (fstatSync(file).size !== end) {
          throw refusal(
            path,
            "another run is writing to it; wait until that run ends, or name another file",
          );
        }
        const line = Buffer.from(`${rowLine(key, JSON.stringify(row), head)}\n`);
        write(file, line);
        places.set(key, { at: end, length: line.length - 1 });
        end += line.length;
        sync.soon();
      }),
    close: () =>
      withJournalErrors(path, async () => {
        await sync.now();
        closeSync(file);
      }),
  };
}

/** Where a row's line lies in the file, bytes. */
interface Place {
  readonly at: number;
  readonly length: number;
}

/** What a journal holds of this run. */
interface Held {
  /** Rows by key; the last one where a frame was graded again. */
  readonly places: Map<string, Place>;
  readonly damaged: number;
}

type Head = z.infer<typeof headSchema>;

/** Makes the journal sound and gives what it holds: starts a new one, cuts off a torn last line, or removes damaged lines. */
async function heldBy(path: string, head: Head): Promise<Held> {
  const found = await readPlaces(path, head);
  // A file with sound lines of this run is its journal, however damaged the other lines are.
  const place = writePlace({ path, kind: "journal", option: "--resume", known: found !== null });
  if (found === null) await writeWhole(place, `${headLine(head)}\n`);
  if (!found?.damaged) return found ?? { places: new Map(), damaged: 0 };
  await writeWhole(place, soundLines(path, head));
  return { places: (await readPlaces(path, head))?.places ?? new Map(), damaged: found.damaged };
}

/** Reads every line; null where there is no journal yet. */
async function readPlaces(path: string, head: Head): Promise<Held | null> {
  const file = await openIfThere(path);
  if (!file) return null;
  try {
    const { size } = await file.stat();
    if (size === 0) return null;
    const places = new Map<string, Place>();
    let damaged = 0;
    let end = 0;
    for await (const line of wholeLines(file)) {
      const key = keyOf(line, head);
      if (key !== null) places.set(key, { at: end, length: line.length });
      else if (end > 0 || !isHead(path, line.toString(), head)) damaged++;
      end += line.length + 1;
    }
    // A file without one sound line is not a journal.
    if (places.size === 0 && (damaged > 0 || end === 0)) {
      throw refusal(
        path,
        "it is not a journal, or it is damaged throughout; name a file that does not exist yet",
      );
    }
    if (end < size) truncateSync(path, end);
    return { places, damaged };
  } finally {
    await file.close();
  }
}

/** The first line and every sound one of a row. */
async function* soundLines(path: string, head: Head): AsyncGenerator<string> {
  yield `${headLine(head)}\n`;
  const file = await open(path, "r");
  try {
    for await (const line of wholeLines(file)) {
      if (keyOf(line, head) !== null) yield `${line}\n`;
    }
  } finally {
    await file.close();
  }
}

async function openIfThere(path: string): Promise<FileHandle | null> {
  try {
    return await open(path, "r");
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return null;
    throw error;
  }
}

/**
 * Whether a line is a whole first line, as it was written.
 *
 * @throws {@link GraderError} `bad-journal` when it is that of another run
 */
function isHead(path: string, line: string, head: Head): boolean {
  const sum = HEAD_SUM.exec(line)?.[1];
  // Older versions wrote no checksums.
  if (line.includes('"sum"') && sum !== checksum(line.replace(HEAD_SUM, "}"))) return false;
  const found = headSchema.safeParse(parsed(line));
  if (found.success) requireSameRun(path, found.data, head);
  return found.success;
}

function requireSameRun(path: string, data: Head, head: Head): void {
  const anew = "Delete it to grade all frames again, or name another file";
  if (data.version !== head.version || data.schemaVersion !== head.schemaVersion) {
    throw refusal(
      path,
      `version ${data.version} of Tonefall began it, and this is ${head.version}. ${anew}`,
    );
  }
  if (data.brief !== head.brief) {
    throw refusal(
      path,
      `it belongs to a run with another brief. ${anew}, or give that brief again`,
    );
  }
  if (data.options !== head.options) {
    throw refusal(
      path,
      `it belongs to a run with other options. ${anew}, or give those options again`,
    );
  }
}

function headLine(head: Head): string {
  const text = JSON.stringify(head);
  return `${text.slice(0, -1)},"sum":"${checksum(text)}"}`;
}

function rowLine(key: string, row: string, head: Head): string {
  return `{"key":"${key}","sum":"${checksum(JSON.stringify(head), key, row)}","row":${row}}`;
}

/** The key of an undamaged line that holds a row of this run; null for any other line. */
function keyOf(line: Buffer, head: Head): string | null {
  const [, key, sum] = ROW_LINE.exec(line.toString("latin1", 0, ROW_AT)) ?? [];
  if (key === undefined || line.at(-1) !== "}".charCodeAt(0)) return null;
  return checksum(JSON.stringify(head), key, line.subarray(ROW_AT, -1)) === sum ? key : null;
}

/** A row's checksum covers its run as well, so a line from another run's journal is not accepted. */
function checksum(...parts: readonly (string | Uint8Array)[]): string {
  const hash = createHash("sha256");
  for (const part of parts) hash.update(part);
  return hash.digest("hex");
}

function rowAt(file: number, { at, length }: Place, key: string, head: Head): FrameResult | null {
  const line = Buffer.alloc(length);
  readSync(file, line, 0, length, at);
  return keyOf(line, head) === key ? JSON.parse(line.toString("utf8", ROW_AT, length - 1)) : null;
}

function parsed(line: string): unknown {
  try {
    return JSON.parse(line);
  } catch {
    return null;
  }
}

/** Writes a whole line at once, so that frames graded at the same time never mix their lines. */
function write(file: number, line: Uint8Array): void {
  let rest = line;
  while (rest.length > 0) rest = rest.subarray(writeSync(file, rest));
}

/** Writes a file through to the disk from time to time. */
function syncing(file: number): { soon: () => void; now: () => Promise<void> } {
  const toDisk = promisify(fdatasync);
  let running: Promise<void> = Promise.resolve();
  let timer: NodeJS.Timeout | null = null;
  const start = (): void => {
    timer = null;
    // A failure appears with the next row, or when the file is closed.
    running = running.then(() => toDisk(file)).catch(() => undefined);
  };
  return {
    soon: () => {
      timer ??= setTimeout(start, SYNC_AFTER).unref();
    },
    now: async () => {
      if (timer) clearTimeout(timer);
      await running;
      await toDisk(file);
    },
  };
}

/** The file system's errors as ours. */
async function withJournalErrors<T>(path: string, work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (cause) {
    const { code } = cause as NodeJS.ErrnoException;
    if (cause instanceof GraderError || code === undefined) throw cause;
    throw refusal(path, `it cannot be read or written (${code})`, cause);
  }
}

function refusal(path: string, why: string, cause?: unknown): GraderError {
  const message = `Expected the journal of this run at ${path}, but ${why}`;
  return new GraderError("bad-journal", message, cause === undefined ? {} : { cause });
}
