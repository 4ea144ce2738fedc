import { mkdir } from "node:fs/promises";
import { basename, dirname, join } from "node:path";
import writeFileAtomic from "write-file-atomic";
import { GraderError } from "../errors.ts";
import type { FrameResult } from "../result.ts";
import type { PageReport } from "./pageReport.ts";

/**
 * Writes a report's pages, each whole or not at all, the one to open last.
 *
 * @param path - of the page to open; further pages go into a folder beside it
 * @throws {@link GraderError} `bad-option` where they cannot be written
 */
export async function writeReport(
  report: PageReport,
  rows: readonly FrameResult[],
  path: string,
): Promise<void> {
  const pages = await report.pages(rows, basename(path));
  try {
    for (const [name, text] of [...pages].reverse()) {
      const file = join(dirname(path), name);
      await mkdir(dirname(file), { recursive: true });
      await writeFileAtomic(file, text);
    }
  } catch (cause) {
    const code = (cause as NodeJS.ErrnoException).code;
    throw new GraderError(
      "bad-option",
      `Expected a place to write for --report but ${path} cannot be written (${code})`,
      { cause },
    );
  }
}
