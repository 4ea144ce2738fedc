import type { CheckRow } from "../model/checkResult.ts";
import type { Note } from "../model/note.ts";

/** The result of judging a claim, before it has a place in a set. */
export type Finding = Pick<
  CheckRow,
  "outcome" | "code" | "expected" | "measured" | "stops" | "sentence"
>;

/** The finding for a claim whose frame could not be measured. */
export function notRun(expected: string, frame: string, failure: Note): Finding {
  return {
    outcome: "not run",
    code: failure.code,
    expected,
    measured: null,
    stops: null,
    sentence: `Frame ${frame} could not be checked: ${failure.message}`,
  };
}

/** The finding for a claim that is not in stops. */
export function finding({
  outcome,
  code,
  expected,
  measured,
  sentence,
}: Omit<Finding, "stops">): Finding {
  return { outcome, code, expected, measured, stops: null, sentence };
}

/** The finding for a claim that nothing measured can decide. */
export function cannotTell(said: Pick<Finding, "code" | "expected" | "sentence">): Finding {
  return finding({ outcome: "undecided", measured: null, ...said });
}
