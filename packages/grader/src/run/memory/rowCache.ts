import { appendFile, readdir, readFile, rm } from "node:fs/promises";
import { join } from "node:path";
import type { FrameResult } from "../../model/result.ts";
import type { Source } from "../../picture/source/openSource.ts";
import { makeFolders } from "../write/makeFolders.ts";
import { writePlace } from "../write/writePlace.ts";
import { buildVersion } from "./buildVersion.ts";
import { contentOf } from "./contentOf.ts";
import { LAST_RUNS } from "./lastRuns.ts";
import type { RowMemory } from "./rowMemory.ts";

/** Rows of frames, found by the content of their files, for later runs. */
export interface RowCache extends RowMemory {
  /** What it holds. */
  readonly size: () => Promise<{
    /** How many rows. */
    readonly rows: number;
    /** Their size, bytes. */
    readonly bytes: number;
  }>;
  /** Removes all rows. */
  readonly clear: () => Promise<void>;
  /** Call it after the last row: it removes the oldest rows where the cache is too large. */
  readonly close: () => Promise<void>;
}

/** How rows are cached. */
export interface CacheOptions {
  /**
   * The most bytes of rows to keep; it may grow by a tenth more before the oldest are removed.
   * @default 268,435,456, some 40,000 rows
   */
  readonly mostBytes?: number;
  /**
   * Remember the hashes of the files that it reads, for whoever needs them too: some 200 bytes a file.
   * @default false
   */
  readonly keepHashes?: boolean;
  /**
   * Called once when rows cannot be kept; the run continues without the cache.
   * @default no message
   */
  readonly onTrouble?: (error: Error) => void;
  /**
   * Called when the cache is closed, with the number of damaged rows; their frames were graded again.
   * @default no message
   */
  readonly onDamage?: (rows: number) => void;
}

/** Loaded with the first row, so that commands without a cache start faster. */
const store = async () => (await import("cacache")).default;

const MOST_BYTES: number = 2 ** 28;

/** A cache is cut back when it exceeds its bound by this share. */
const SLACK = 0.1;

/** Bytes added since the cache was last cut back, one number to a line. */
const LEDGER = "added-since-cut";

/** The part of a folder that belongs to the cache; nothing else there is touched. */
const OWN = new RegExp(`^(?:content-v\\d+|index-v\\d+|tmp|${LEDGER}|${LAST_RUNS})$`);

/** cacache's default digest is made for downloads; this one is half as long and detects damage equally well. */
const ALGORITHMS: [string] = ["sha256"];

/**
 * A cache of graded rows in a folder, shared by all runs and safe for several at once.
 *
 * A row is found by what its file holds, the brief, the options and the code that graded it. Of the file neither path nor
 * name is kept. A damaged entry counts as missing. Where the folder cannot be written, frames are graded again.
 */
export function rowCache(
  folder: string,
  { mostBytes = MOST_BYTES, keepHashes = false, onTrouble, onDamage }: CacheOptions = {},
): RowCache {
  let trouble: Error | null = null;
  let added = 0;
  let grew = false;
  let damaged = 0;
  const hashes = new Map<Source, string>();
  const tried = async (work: () => Promise<unknown>): Promise<void> => {
    if (trouble) return;
    try {
      await work();
    } catch (error) {
      if (trouble) return;
      trouble = error as Error;
      onTrouble?.(trouble);
    }
  };
  const noteAdded = async (): Promise<void> => {
    const bytes = added;
    added = 0;
    const { path } = writePlace({
      path: join(folder, LEDGER),
      kind: "ledger",
      option: "the cache",
    });
    await appendFile(path, `${bytes}\n`);
  };
  return {
    identify: async (source) => {
      const content = await contentOf(source);
      // A sidecar's hash may follow.
      if (keepHashes && content) hashes.set(source, content.split(" ")[0] as string);
      return content && `${content} ${buildVersion()} ${process.arch}`;
    },
    hashOf: (source) => hashes.get(source) ?? null,
    recall: async (key) => {
      try {
        const { data } = await (await store()).get(folder, key);
        return JSON.parse(data.toString()) as FrameResult;
      } catch (error) {
        // Absent, damaged or out of reach: the frame is graded.
        if (isDamage(error)) damaged++;
        await dropContent(folder, key);
        return null;
      }
    },
    keep: (key, row) =>
      tried(async () => {
        const data = JSON.stringify({ ...row, file: "" });
        await makeFolders(folder, 0o700);
        await (await store()).put(folder, key, data, { algorithms: ALGORITHMS });
        added += data.length;
        grew = true;
        // A run that is killed has noted most of what it added.
        if (added > (SLACK * mostBytes) / 10) await noteAdded();
      }),
    size: async () => {
      const entries = Object.values(await (await store()).ls(folder));
      return { rows: entries.length, bytes: entries.reduce((sum, { size }) => sum + size, 0) };
    },
    clear: async () => {
      const own = (await listed(folder)).filter((name) => OWN.test(name));
      for (const name of own) await rm(join(folder, name), { recursive: true, force: true });
    },
    close: async () => {
      if (damaged > 0) onDamage?.(damaged);
      if (!grew) return;
      await tried(async () => {
        await noteAdded();
        if ((await addedSinceCut(folder)) > SLACK * mostBytes) await cutBack(folder, mostBytes);
      });
    },
  };
}

/** Whether a row is damaged: it is there, but does not match its SHA-256. */
function isDamage(error: unknown): boolean {
  const { code } = error as NodeJS.ErrnoException;
  return code === "EINTEGRITY" || code === "EBADSIZE" || error instanceof SyntaxError;
}

/** Content is never overwritten, so a damaged row is removed before the new one is written. */
async function dropContent(folder: string, key: string): Promise<void> {
  try {
    const { get, rm: remove } = await store();
    const entry = await get.info(folder, key);
    if (entry) await remove.content(folder, entry.integrity);
  } catch {
    // It cannot be written either.
  }
}

async function listed(folder: string): Promise<readonly string[]> {
  try {
    return await readdir(folder);
  } catch {
    return [];
  }
}

async function addedSinceCut(folder: string): Promise<number> {
  const lines = (await readFile(join(folder, LEDGER), "utf8")).split("\n");
  return lines.reduce((sum, line) => sum + Number(line), 0);
}

/** Removes the oldest rows beyond the bound. */
async function cutBack(folder: string, mostBytes: number): Promise<void> {
  await rm(join(folder, LEDGER), { force: true });
  const { ls, rm: remove } = await store();
  // The published types leave the options out. `removeFully` also removes the line that names the row.
  const removeEntry = remove.entry as (
    folder: string,
    key: string,
    options: { readonly removeFully: boolean },
  ) => Promise<unknown>;
  const newestFirst = Object.values(await ls(folder)).sort((a, b) => b.time - a.time);
  let bytes = 0;
  for (const { key, size, integrity } of newestFirst) {
    bytes += size;
    if (bytes <= mostBytes) continue;
    await removeEntry(folder, key, { removeFully: true });
    await remove.content(folder, integrity);
  }
}
