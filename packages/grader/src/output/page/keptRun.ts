import type { NamedKit } from "../../kit/kit.ts";
import type { FrameResult } from "../../model/result.ts";
import { openKept } from "./keptView.ts";

/** What a report has to know of a run before its first row. */
export interface KeptRun {
  /** Files of all rows, in order. */
  readonly files: readonly string[];
  /** The kits that its frames were seen through, in the order that the run had them. */
  readonly kits: readonly NamedKit[];
  /** Name of the brief's file; null where there was none, or several. */
  readonly brief: string | null;
  /** Rows that keep no view: a page shows their figures alone. */
  readonly without: number;
}

/** Goes over the rows of a run that keep their views. */
export async function keptRun(rows: AsyncIterable<FrameResult>): Promise<KeptRun> {
  const files: string[] = [];
  const briefs = new Set<string | null>();
  const kits = new Map<string, { readonly at: number; readonly named: NamedKit }>();
  let without = 0;
  for await (const row of rows) {
    files.push(row.file);
    const opened = openKept(row);
    briefs.add(opened?.brief ?? null);
    if (opened?.kit) kits.set(opened.kit.named.file, opened.kit);
    if (!opened) without++;
  }
  const [brief = null] = briefs;
  return {
    files,
    kits: [...kits.values()].sort((a, b) => a.at - b.at).map(({ named }) => named),
    brief: briefs.size === 1 ? brief : null,
    without,
  };
}
