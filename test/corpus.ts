import { existsSync } from "node:fs";
import { join, resolve } from "node:path";

/** Folder of real photographs with recorded answers: beside the checkout, or where TONEFALL_CORPUS says. */
const CORPUS: string =
  process.env["TONEFALL_CORPUS"] ?? resolve(import.meta.dirname, "../../shared/corpus");

/** Whether the real photographs are there; tests that need them skip, and say so, where they are not. */
export const hasCorpus: boolean = existsSync(join(CORPUS, "truth.json"));

/** Appended to the title of a suite that cannot run here. */
export const skippedBecause: string = hasCorpus ? "" : " (skipped: no folder of real photographs)";

/** Path of a file of the corpus. */
export function corpusFile(path: string): string {
  return join(CORPUS, path);
}
