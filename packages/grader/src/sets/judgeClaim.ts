import { ERROR_BUDGET, exposureError, RENDERED_MEASURING } from "@tonefall/tone-core";
import { boundedStopsText } from "../model/words.ts";
import { type Finding, finding, notRun } from "./finding.ts";
import { type FrameFacts, type SetFacts, type Tone, toneOf } from "./frameFacts.ts";
import { judgeAsShot } from "./judgeAsShot.ts";
import { judgeRecord } from "./judgeRecord.ts";
import {
  checkStops,
  judgeFall,
  judgeStops,
  knownText,
  outcomeOf,
  rangeText,
} from "./judgeStops.ts";
import type { OpenRange, PlacedAsk, ReadyClaim, ReadyFrame, ToneAsk } from "./readySet.ts";

type ClaimOf<Kind extends ReadyClaim["kind"]> = Extract<ReadyClaim, { kind: Kind }>;

/**
 * What becomes of a claim on one frame.
 *
 * @param facts - of all frames that the claim rests on
 */
export function judgeClaim(claim: ReadyClaim, frame: ReadyFrame, facts: SetFacts): Finding {
  switch (claim.kind) {
    case "falls":
      return judgePlaced(claim, toneOf(facts, claim.ask));
    case "error":
      return judgeError(claim, facts);
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

/** Whether a tone falls where it is placed. */
export function judgePlaced({ ask, tolerance, placement }: PlacedAsk, tone: Tone): Finding {
  return judgeTone(ask, tone, { range: placement, tolerance, expected: rangeText(placement) });
}

/**
 * Whether a tone misses its placement by what it is claimed to. It is judged as a claim on the fall, which censoring and
 * uncertainty belong to, and told as one on the error.
 */
function judgeError(
  { ask, placement, lies, tolerance }: ClaimOf<"error">,
  facts: SetFacts,
): Finding {
  const expected = `error ${rangeText(lies)}`;
  const range = shifted(placement, lies);
  const found = judgeTone(ask, toneOf(facts, ask), { range, tolerance, expected });
  if (!found.stops) return found;
  const { basis, bound, uncertainty } = found.stops;
  const known = { stops: exposureError(found.stops.measured, placement), bound, uncertainty };
  return {
    ...found,
    measured: knownText(known),
    stops: checkStops(basis, lies, known, found.stops.tolerance),
    sentence: `${sentenceCase(toneName(ask))} missed ${rangeText(placement)} by ${boundedStopsText(known)} ${SAYING[found.code]} ${rangeText(lies)}.`,
  };
}

function judgeTone(
  ask: ToneAsk,
  { row, failure }: Tone,
  claim: {
    readonly range: OpenRange;
    readonly tolerance: number | null;
    readonly expected: string;
  },
): Finding {
  const { range, tolerance, expected } = claim;
  if (failure) return notRun(expected, ask.frame, failure);
  const name = toneName(ask);
  if (ask.basis !== null && row.basis !== ask.basis) {
    const sentence = `The claim is on the ${ask.basis} basis, but ${ask.frame} can only be measured on the ${row.basis} basis.`;
    return finding("undecided", "other-basis", expected, null, sentence);
  }
  const { fall, basis } = row;
  if (!fall || !basis) {
    const why = row.notes.at(-1);
    const sentence = `Where ${name} fell cannot be told. ${why?.message ?? ""}`.trim();
    return finding("undecided", why?.code ?? "not-measured", expected, null, sentence);
  }
  const allowed = tolerance ?? (row.tolerance as number);
  const { verdict, known } = judgeFall({ ...row, fall }, range, allowed);
  const outcome = outcomeOf(verdict, fall.bound);
  return {
    ...outcome,
    expected,
    measured: knownText(known),
    stops: checkStops(basis, range, known, allowed),
    sentence: `${sentenceCase(name)} fell at ${boundedStopsText(known)}${known.byMedian ? " by its median" : ""} ${SAYING[outcome.code]} ${rangeText(range)}.${row.kit ? ` Light by the kit ${row.kit.file}.` : ""}`,
  };
}

const SAYING: Readonly<Record<string, string>> = {
  holds: "as claimed:",
  lighter: "and not as claimed, but lighter:",
  darker: "and not as claimed, but darker:",
  "near-limit": "and lies too near the limit to tell:",
  censored: "and is clipped or black, which leaves open:",
};

function judgeReading(claim: ClaimOf<"reading">, facts: SetFacts): Finding {
  const { ask, pattern, reads } = claim;
  const expected = rangeText(reads);
  const { row, failure } = toneOf(facts, ask);
  if (failure) return notRun(expected, ask.frame, failure);
  const reading = row.readings?.find((one) => one.pattern === pattern);
  if (!reading || !row.basis) {
    const sentence = `What ${pattern} metering reads in ${ask.frame} cannot be told.`;
    return finding("undecided", "no-reading", expected, null, sentence);
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
    sentence: `${sentenceCase(pattern)} metering of ${ask.frame} reads ${boundedStopsText(reading)} ${SAYING[outcome.code]} ${expected}.`,
  };
}

function judgeUnclipped({ ask, most }: ClaimOf<"unclipped">, facts: SetFacts): Finding {
  const percent = (share: number): string => `${Number((100 * share).toPrecision(3))} %`;
  const expected = most === 0 ? "nothing clipped" : `at most ${percent(most)} clipped`;
  const { row, failure } = toneOf(facts, ask);
  if (failure) return notRun(expected, ask.frame, failure);
  const share = row.clipped?.share ?? 0;
  const sentence = `${percent(share)} of ${ask.regionName} of ${ask.frame} is clipped.`;
  return share <= most
    ? finding("kept", "holds", expected, percent(share), sentence)
    : finding("missed", "clipped", expected, percent(share), sentence);
}

/** The falls that give errors from a placement: beyond its lighter end for errors above 0, its darker for those below. */
export function shifted(placement: PlacedAsk["placement"], lies: OpenRange): OpenRange {
  const end = (error: number, atZero: number): number =>
    (error > 0 ? placement.to : error < 0 ? placement.from : atZero) + error;
  return { from: end(lies.from, placement.from), to: end(lies.to, placement.to) };
}

function toneName({ regionName, frame }: ToneAsk): string {
  return `${regionName} of ${frame}`;
}

function sentenceCase(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
