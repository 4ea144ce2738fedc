import { decidedError } from "../../model/decidedError.ts";
import type { FrameResult } from "../../model/result.ts";

/** What the order of need reads of a row. */
export type UrgentRow = Pick<FrameResult, "verdict" | "error" | "fall" | "failure"> & {
  readonly clipped: Pick<NonNullable<FrameResult["clipped"]>, "share"> | null;
  readonly crushed: FrameResult["crushed"];
  readonly notes: readonly Pick<FrameResult["notes"][number], "code">[];
};

/** Why a row needs a look; the first that holds counts, the most urgent first. */
export type Need = "missed" | "clipped" | "black" | "mixed" | "undecided" | "failed";

/** A row's need, and how much there is of it: stops or a share; null where nothing calls for a look. */
export function needOf(row: UrgentRow): { readonly need: Need; readonly size: number } | null {
  const { verdict, error, fall, failure, clipped, crushed } = row;
  const noted = new Set(row.notes.map(({ code }) => code));
  if (failure) return { need: "failed", size: 0 };
  const stops = error ? Math.abs(decidedError(error).stops) : 0;
  if (verdict === "over" || verdict === "under") return { need: "missed", size: stops };
  // A placement that was kept answers for what the subject holds; a clipped one may still hide its tone.
  if (noted.has("clipped")) return { need: "clipped", size: clipped?.share ?? 0 };
  if (noted.has("crushed")) return { need: "black", size: crushed?.share ?? 0 };
  if (verdict === "undecided") return { need: "undecided", size: stops };
  if (verdict === null && noted.has("mixed") && fall) {
    return { need: "mixed", size: Math.abs(fall.stops - fall.median) };
  }
  return null;
}

/** Places of needs in the order of urgency; clipped and black subjects are one kind. */
const PLACES: Readonly<Record<Need, number>> = {
  missed: 0,
  clipped: 1,
  black: 1,
  mixed: 2,
  undecided: 3,
  failed: 4,
};

const NO_NEED = 5;

/**
 * Rows in the order in which they need a look: misses by size, clipped or black subjects, regions of several tones without
 * a placement, those that nobody can tell, failures; then the others, the darkest first where nothing was placed. Rows that
 * need it alike keep their order.
 */
export function worstFirst<Row extends UrgentRow>(rows: readonly Row[]): Row[] {
  const ranked = rows.map((row) => {
    const need = needOf(row);
    const darkness = row.verdict === null && row.fall ? -row.fall.stops : 0;
    return { row, place: need ? PLACES[need.need] : NO_NEED, size: need ? need.size : darkness };
  });
  return ranked.sort((a, b) => a.place - b.place || b.size - a.size).map(({ row }) => row);
}

/** {@link worstFirst} for rows that come one by one: holds all of them until the last has come. */
export async function* heldWorstFirst(
  rows: AsyncIterable<FrameResult>,
): AsyncGenerator<FrameResult> {
  const held: FrameResult[] = [];
  for await (const row of rows) held.push(row);
  yield* worstFirst(held);
}
