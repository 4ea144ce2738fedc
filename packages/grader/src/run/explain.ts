import { adviseNext } from "../judge/advice/adviseNext.ts";
import { findCauses } from "../judge/cause/findCauses.ts";
import { feedbackFor } from "../judge/feedback/feedbackFor.ts";
import type { Voice } from "../model/feedback.ts";
import type { FrameResult, RowShard } from "../model/result.ts";

/** Rows before a frame that are searched for what changed: the light, a setting. */
const PRECEDING = 5;

/**
 * The rows of a run, each explained from those before it.
 *
 * @param isExplained - whether a row has been, and would be the same; by default none has
 */
export async function* explained(
  rows: AsyncIterable<FrameResult>,
  voice: Voice | undefined,
  isExplained: (row: FrameResult) => boolean = () => false,
): AsyncGenerator<FrameResult> {
  let preceding: FrameResult[] = [];
  for await (const row of rows) {
    yield isExplained(row) ? row : explain(row, preceding, voice);
    preceding = [...preceding, row].slice(-PRECEDING);
  }
}

/** Whether all rows that could explain a row of a part lie in that part, so that nothing before the part changes it. */
export function isExplainedByPart({ first, place }: RowShard): boolean {
  return first === 1 || place - first >= PRECEDING;
}

/**
 * A graded row with its causes, what to set next and, when asked, the words for them.
 *
 * @param preceding - rows of the same run before it, oldest first
 */
export function explain(
  row: FrameResult,
  preceding: readonly FrameResult[],
  voice: Voice | undefined,
): FrameResult {
  const causes = findCauses(row, preceding);
  const next = adviseNext(row, preceding);
  return {
    ...row,
    causes,
    next,
    ...(voice === undefined ? {} : { feedback: feedbackFor(row, causes, voice, next) }),
  };
}
