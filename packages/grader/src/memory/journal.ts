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
import { GraderError } from "../errors.ts";
import { type FrameResult, SCHEMA_VERSION } from "../result.ts";
import { writePlace } from "../write/writePlace.ts";
import { writeWhole } from "../write/writeWhole.ts";
import { buildVersion } from "./buildVersion.ts";
import { digestOf, optionsDigest } from "./claimDigest.ts";
import { contentOf } from "./contentOf.ts";
import type { RowMemory } from "./rowMemory.ts";
import { wholeLines } from "./wholeLines.ts";

/** The results of a run as far as it has come, in a file from which it can go on. */
export interface Journal extends RowMemory {
  /** Rows that it held when it was opened. */
  readonly rows: number;
  /** Brings all rows to the disk, and closes the file. */
  readonly close: () => Promise<void>;
}

/** What a run is, as far as its journal can be another run's. */
export interface JournaledRun {
  /** What the frames are asked to show, as plain data: a brief, or all that briefs are made from. */
  readonly brief: unknown;
  /** How the frames are graded; what does not touch a frame's own row may differ from run to run. */
  readonly options: object;
}

const headSchema = z.object({
  tonefall: z.literal("journal"),
  schemaVersion: z.number(),
  version: z.string(),
  brief: z.string(),
  options: z.string(),
});

/** Rows reach the file at once, which outlives the process, and the disk after this many milliseconds at most. */
const SYNC_AFTER = 2000;

/** Every line of a row begins so, followed by its key. */
const ROW = '{"key":"';
const KEY_DIGITS = 64;
const KEY_END: number = ROW.length + KEY_DIGITS;

/**
 * Opens the journal of a run, or begins one where there is none.
 *
 * The file is ndjson that only grows: a first line that says whose run it is, then a line for each graded frame, under a
 * key made from its path, size, time of last change, brief and options. A last line that was torn is dropped, and so is
 * any that cannot be read: their frames are graded again, and so are frames whose file changed.
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
  const places = await told(path, () => readPlaces(path, head));
  const rows = places.size;
  const file = await told(path, async () => openSync(path, "a+"));
  let end = fstatSync(file).size;
  const sync = syncing(file);
  return {
    rows,
    // Bytes have neither path nor time.
    identify: async (source, stamp) => (source instanceof Uint8Array ? contentOf(source) : stamp),
    recall: async (key) => {
      const place = places.get(key);
      return place ? rowAt(file, place, key) : null;
    },
    keep: (key, row) =>
      told(path, async () => {
        if (fstatSync(file).size !== end) {
          throw refusal(path, "another run writes to it now; let that end, or name another");
        }
        const line = Buffer.from(`${ROW}${key}","row":${JSON.stringify(row)}}\n`);
        write(file, line);
        places.set(key, { at: end, length: line.length - 1 });
        end += line.length;
        sync.soon();
      }),
    close: () =>
      told(path, async () => {
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

/** Rows by key; of a frame that was graded anew, the last. A new journal is begun, a torn last line cut off. */
async function readPlaces(
  path: string,
  head: z.infer<typeof headSchema>,
): Promise<Map<string, Place>> {
  const places = new Map<string, Place>();
  const file = await openIfThere(path);
  let end = 0;
  if (file) {
    try {
      let at = 0;
      for await (const line of wholeLines(file)) {
        if (at === 0) requireSameRun(path, line.toString(), head);
        const start = line.toString("latin1", 0, KEY_END);
        if (start.startsWith(ROW)) {
          places.set(start.slice(ROW.length), { at, length: line.length });
        }
        at += line.length + 1;
      }
      end = at;
      const { size } = await file.stat();
      // Without a whole line it is nobody's journal, unless it is empty.
      if (end === 0 && size > 0) requireSameRun(path, "", head);
      if (end < size) truncateSync(path, end);
    } finally {
      await file.close();
    }
  }
  if (end === 0) {
    const place = writePlace({ path, kind: "journal", option: "--resume" });
    await writeWhole(place, `${JSON.stringify(head)}\n`);
  }
  return places;
}

async function openIfThere(path: string): Promise<FileHandle | null> {
  try {
    return await open(path, "r");
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return null;
    throw error;
  }
}

function requireSameRun(path: string, line: string, head: z.infer<typeof headSchema>): void {
  const found = headSchema.safeParse(parsed(line));
  if (!found.success) {
    throw refusal(path, "it is another file; name one that does not exist yet");
  }
  const { data } = found;
  const anew = "Delete it to grade all frames anew, or name another";
  if (data.version !== head.version || data.schemaVersion !== head.schemaVersion) {
    throw refusal(
      path,
      `it was begun by version ${data.version} of Tonefall, and this is ${head.version}. ${anew}`,
    );
  }
  if (data.brief !== head.brief) {
    throw refusal(path, `it is of a run with another brief. ${anew}, or give the brief as it was`);
  }
  if (data.options !== head.options) {
    throw refusal(path, `it is of a run with other options. ${anew}, or give them as they were`);
  }
}

function rowAt(file: number, { at, length }: Place, key: string): FrameResult | null {
  const line = Buffer.alloc(length);
  readSync(file, line, 0, length, at);
  const data = parsed(line.toString()) as { key?: string; row?: FrameResult } | null;
  return data?.key === key ? (data.row ?? null) : null;
}

function parsed(line: string): unknown {
  try {
    return JSON.parse(line);
  } catch {
    return null;
  }
}

/** Writes a whole line at once, so that lines of frames in work side by side never mix. */
function write(file: number, line: Uint8Array): void {
  let rest = line;
  while (rest.length > 0) rest = rest.subarray(writeSync(file, rest));
}

/** Brings a file to the disk, now and then. */
function syncing(file: number): { soon: () => void; now: () => Promise<void> } {
  const toDisk = promisify(fdatasync);
  let running: Promise<void> = Promise.resolve();
  let timer: NodeJS.Timeout | null = null;
  const start = (): void => {
    timer = null;
    // A failure shows itself at the next row, or when the file is closed.
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
async function told<T>(path: string, work: () => Promise<T>): Promise<T> {
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
