import { ERROR_BUDGET, RENDERED_MEASURING } from "@tonefall/tone-core";
import { boundedStopsText, sentenceCase } from "../model/words.ts";
import { cannotTell, type Finding, finding, notRun } from "./finding.ts";
import { type FrameFacts, type SetFacts, toneOf } from "./frameFacts.ts";
import { judgeAsShot } from "./judgeAsShot.ts";
import { judgeError, judgePlaced, toneName, verdictSentence } from "./judgePlaced.ts";
import { judgeRecord } from "./judgeRecord.ts";
import { checkStops, judgeStops, knownText, outcomeOf, rangeText } from "./judgeStops.ts";
import type { ReadyClaim, ReadyFrame } from "./readySet.ts";

type ClaimOf<Kind extends ReadyClaim["kind"]> = Extract<ReadyClaim, { kind: Kind }>;

/**
 * Judges a claim on one frame.
 *
 * @param facts - of all frames that the claim needs
 */
export function judgeClaim(claim: ReadyClaim, frame: ReadyFrame, facts: SetFacts): Finding {
  switch (claim.kind) {
    case "falls":
      return judgePlaced(claim, toneOf(facts, claim.ask));
    case "error":
      return judgeError(claim, claim.lies, toneOf(facts, claim.ask));
    case "reading":
      return judgeReading(claim, facts);
    case "unclipped":
      return judgeUnclipped(claim, facts);
    case "record":
      return judgeRecord(claim.record, frame.id, facts.get(frame.id) as FrameFacts);
    case "as-shot":
      return judgeAsShot(frame, facts.get(frame.id) as FrameFacts);
  }
}

function judgeReading(claim: ClaimOf<"reading">, facts: SetFacts): Finding {
  const { ask, pattern, reads } = claim;
  const expected = rangeText(reads);
  const { row, failure } = toneOf(facts, ask);
  if (failure) return notRun(expected, ask.frame, failure);
  const reading = row.readings?.find((one) => one.pattern === pattern);
  if (!reading || !row.basis) {
    const sentence = `Cannot tell what ${pattern} metering reads in ${ask.frame}.`;
    return cannotTell({ code: "no-reading", expected, sentence });
  }
  const tolerance = claim.tolerance ?? (row.tolerance as number);
  const uncertainty = row.basis === "rendered" ? RENDERED_MEASURING : ERROR_BUDGET.raw.middleGrey;
  const known = { stops: reading.stops, bound: reading.bound, uncertainty };
  const outcome = outcomeOf(judgeStops(known, reads, tolerance), reading.bound);
  return {
    ...outcome,
    expected,
    measured: knownText(known),
    stops: checkStops(row.basis, reads, known, tolerance),
    sentence: `${sentenceCase(pattern)} metering of ${ask.frame} reads ${boundedStopsText(reading)}. ${verdictSentence(outcome.code, expected, "reading")}`,
  };
}

function judgeUnclipped({ ask, most }: ClaimOf<"unclipped">, facts: SetFacts): Finding {
  const percent = (share: number): string => `${Number((100 * share).toPrecision(3))} %`;
  const expected = most === 0 ? "nothing clipped" : `at most ${percent(most)} clipped`;
  const { row, failure } = toneOf(facts, ask);
  if (failure) return notRun(expected, ask.frame, failure);
  const share = row.clipped?.share ?? 0;
  const measured = percent(share);
  const found = `${measured} of ${toneName(ask)} is clipped`;
  return share <= most
    ? finding({ outcome: "kept", code: "holds", expected, measured, sentence: `${found}.` })
    : finding({
        outcome: "missed",
        code: "clipped",
        expected,
        measured,
        sentence: `${found}. The claim allows ${percent(most)}.`,
      });
}
