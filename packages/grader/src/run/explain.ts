import { adviseNext } from "../advice/adviseNext.ts";
import { findCauses } from "../cause/findCauses.ts";
import type { Voice } from "../feedback/feedback.ts";
import { feedbackFor } from "../feedback/feedbackFor.ts";
import type { FrameResult } from "../result.ts";

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
  return {
    ...row,
    causes,
    next: adviseNext(row),
    ...(voice === undefined ? {} : { feedback: feedbackFor(row, causes, voice) }),
  };
}
