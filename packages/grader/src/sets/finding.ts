import type { CheckRow } from "../model/checkResult.ts";
import type { Note } from "../model/note.ts";

/** What became of a claim, before it has a place in a set. */
export type Finding = Pick<
  CheckRow,
  "outcome" | "code" | "expected" | "measured" | "stops" | "sentence"
>;

/** A claim that nothing could be measured for. */
export function notRun(expected: string, frame: string, failure: Note): Finding {
  return {
    outcome: "not run",
    code: failure.code,
    expected,
    measured: null,
    stops: null,
    sentence: `Frame ${frame} could not be measured: ${failure.message}`,
  };
}

/** A claim that is not of stops. */
export function finding(
  outcome: Finding["outcome"],
  code: string,
  expected: string,
  measured: string | null,
  sentence: string,
): Finding {
  return { outcome, code, expected, measured, stops: null, sentence };
}
