import { readdirSync, renameSync, rmSync, statSync } from "node:fs";
import { type FileHandle, mkdir, mkdtemp, open, rm } from "node:fs/promises";
import { basename, dirname, join } from "node:path";
import { GraderError } from "../../model/errors.ts";
import { whyUnwritable } from "../../run/write/whyUnwritable.ts";
import type { WritePlace } from "../../run/write/writePlace.ts";
import type { Markup } from "./markup.ts";

/** A piece of a page that waits on disk: its place there, bytes. */
export interface Piece {
  readonly from: number;
  readonly bytes: number;
}

/** What a page is put together from: text at hand, and pieces that wait on disk. */
export type Part = Markup | Piece;

/** A report on its way to disk: pieces wait in a folder beside it, so that its size is no matter of memory. */
export interface ReportFile {
  /** Puts a piece aside. */
  keep(piece: Markup): Promise<Piece>;
  /**
   * Writes pages, each whole or not at all.
   *
   * @param pages - by the name of their file beside the report's; the first, which leads to the others, is written last
   * @returns their paths, in the order of the pages
   */
  write(pages: ReadonlyMap<string, readonly Part[]>): Promise<string[]>;
  /** Takes away what waited; nothing is left of a report that was not written. */
  close(): Promise<void>;
}

/** Pieces are read back in bites of so many bytes. */
const BITE = 2 ** 18;

/** The folder for the pages of a report that is too long for one, beside the page of that name. */
export function pagesFolder(name: string): string {
  return `${name.replace(/\.html?$/i, "")}-frames`;
}

/**
 * Makes room for a report beside the place where it will stand, before any work goes into it.
 *
 * @throws {@link GraderError} `bad-option` where nothing can be written, `would-overwrite` where the folder of further pages
 *   holds something else under the name of one
 */
export async function reportFile({ path, requireFree }: WritePlace): Promise<ReportFile> {
  const place = dirname(path);
  if (isNoFile(path)) {
    throw new GraderError(
      "bad-option",
      `Expected a file to write for --report but ${path} is a device or pipe; name a file`,
    );
  }
  for (const page of pagesIn(join(place, pagesFolder(basename(path))))) requireFree(page);
  const folder = await writable(path, () => mkdtemp(join(place, `.${basename(path)}-`)));
  // An interrupt ends the process from where it stands.
  const sweep = (): void => rmSync(folder, { recursive: true, force: true });
  process.once("exit", sweep);
  const pieces = await writable(path, () => open(join(folder, "pieces"), "wx+"));
  let end = 0;

  async function writeParts(parts: readonly Part[], file: FileHandle): Promise<void> {
    for (const part of parts) {
      if ("text" in part) {
        await file.writeFile(part.text);
        continue;
      }
      const bite = Buffer.alloc(Math.min(BITE, part.bytes));
      for (let done = 0; done < part.bytes; ) {
        const wanted = Math.min(bite.length, part.bytes - done);
        const { bytesRead } = await pieces.read(bite, 0, wanted, part.from + done);
        if (bytesRead === 0) throw new Error("A piece that was put aside ends early.");
        await file.writeFile(bite.subarray(0, bytesRead));
        done += bytesRead;
      }
    }
  }

  return {
    keep: (piece) =>
      writable(path, async () => {
        const text = Buffer.from(piece.text);
        const kept = { from: end, bytes: text.length };
        end += kept.bytes;
        for (let done = 0; done < kept.bytes; ) {
          const left = kept.bytes - done;
          done += (await pieces.write(text, done, left, kept.from + done)).bytesWritten;
        }
        return kept;
      }),
    write: (pages) =>
      writable(path, async () => {
        const whole = join(folder, "page");
        for (const name of pages.keys()) requireFree(join(place, name));
        for (const [name, parts] of [...pages].reverse()) {
          const file = await open(whole, "w");
          try {
            await writeParts(parts, file);
            await file.sync();
          } finally {
            await file.close();
          }
          await mkdir(dirname(join(place, name)), { recursive: true });
          requireFree(join(place, name));
          renameSync(whole, join(place, name));
        }
        return [...pages.keys()].map((name) => join(place, name));
      }),
    close: async () => {
      process.off("exit", sweep);
      await pieces.close();
      await rm(folder, { recursive: true, force: true });
    },
  };
}

/** Whether something other than a file stands there. Where it cannot be known, making the report says why. */
function isNoFile(path: string): boolean {
  try {
    return !statSync(path).isFile();
  } catch {
    return false;
  }
}

/** Files of a folder that a further page would replace. */
function pagesIn(folder: string): string[] {
  try {
    const names = readdirSync(folder).filter((name) => /^\d+\.html$/.test(name));
    return names.map((name) => join(folder, name));
  } catch {
    return [];
  }
}

async function writable<T>(path: string, work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (cause) {
    const { code } = cause as NodeJS.ErrnoException;
    if (code === undefined || cause instanceof GraderError) throw cause;
    throw new GraderError(
      "bad-option",
      `Expected a place to write for --report but ${path} cannot be written ${whyUnwritable(path, cause)}`,
      { cause },
    );
  }
}
