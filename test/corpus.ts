import { join } from "node:path";
import { corpus } from "./outside.mjs";

/** Whether the real photographs are there; tests that need them skip, and say so, where they are not. */
export const hasCorpus: boolean = corpus.path !== null;

/** Appended to the title of a suite that cannot run here. */
export const skippedBecause: string = corpus.skipped;

/** Path of a file of the corpus. */
export function corpusFile(path: string): string {
  return join(corpus.path ?? "no corpus", path);
}
