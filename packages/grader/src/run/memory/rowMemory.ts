import type { FrameResult } from "../../model/result.ts";
import type { Source } from "../../picture/source/openSource.ts";
import { digestOf } from "./claimDigest.ts";
import { stampOf } from "./stampOf.ts";

/**
 * Where graded rows are kept, so that a frame is not graded twice: the journal of a run, or a cache.
 *
 * It keeps the frame's own row. Causes, words and pairs depend on other rows too, so they are found again.
 */
export interface RowMemory {
  /**
   * What a row depends on in its source, as text; null where the frame should be graded again. The stamp holds path,
   * size and time of the file and its sidecar; it is empty for bytes.
   */
  readonly identify: (source: Source, stamp: string) => Promise<string | null>;
  /** The row kept under a key; null where there is none. */
  readonly recall: (key: string) => Promise<FrameResult | null>;
  /** Keeps a row. */
  readonly keep: (key: string, row: FrameResult) => Promise<void>;
  /** SHA-256 of a source as this memory read it to identify it, hexadecimal; null where it did not. */
  readonly hashOf?: (source: Source) => string | null;
}

/**
 * The row of a frame from the first memory that has it; otherwise the frame is graded and every memory keeps the row.
 *
 * A row with a failure is never kept: the file may be readable next time. Nor is the row of a file that
 * changed while it was graded.
 *
 * @param claim - digest of what the row depends on beside its source
 * @param name - of the source, as the row has it
 */
export async function throughMemory(
  [memory, ...others]: readonly RowMemory[],
  source: Source,
  { claim, name }: { readonly claim: string; readonly name: string },
  grade: () => Promise<FrameResult>,
): Promise<FrameResult> {
  if (!memory) return grade();
  const before = await stampOf(source);
  const identity = before === null ? null : await memory.identify(source, before);
  const anew = (): Promise<FrameResult> => throughMemory(others, source, { claim, name }, grade);
  if (identity === null) return anew();
  const key = digestOf([identity, claim]);
  const known = await memory.recall(key);
  if (known) return { ...known, file: name };
  const row = await anew();
  if (row.failure === null && (await stampOf(source)) === before) await memory.keep(key, row);
  return row;
}
