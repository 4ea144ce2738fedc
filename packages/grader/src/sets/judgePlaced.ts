import { exposureError } from "@tonefall/tone-core";
import type { FrameResult } from "../model/result.ts";
import { boundedStopsText, sentenceCase } from "../model/words.ts";
import type { OpenRange, PlacedAsk, ToneAsk } from "./ask.ts";
import { cannotTell, type Finding, notRun } from "./finding.ts";
import type { Tone } from "./frameFacts.ts";
import {
  checkStops,
  judgeFall,
  type KnownStops,
  knownText,
  outcomeOf,
  rangeText,
} from "./judgeStops.ts";

/** Whether a tone falls where it is placed. */
export function judgePlaced({ ask, tolerance, placement }: PlacedAsk, tone: Tone): Finding {
  const expected = rangeText(placement);
  const judged = judgeTone(ask, tone, { range: placement, tolerance, expected });
  if (judged.open) return judged.open;
  const { outcome, basis, known, allowed, kit } = judged;
  return {
    ...outcome,
    expected,
    measured: knownText(known),
    stops: checkStops(basis, placement, known, allowed),
    sentence: `${sentenceCase(toneName(ask))} fell at ${measuredText(known)}. ${verdictSentence(outcome.code, expected, "tone")}${kit}`,
  };
}

/**
 * Whether a tone misses its placement by as much as is claimed. The fall is what is judged, because censoring and
 * uncertainty belong to it; the error is what is reported.
 *
 * @param lies - the errors that are claimed, stops
 */
export function judgeError(
  { ask, placement, tolerance }: PlacedAsk,
  lies: OpenRange,
  tone: Tone,
): Finding {
  const expected = `error ${rangeText(lies)}`;
  const judged = judgeTone(ask, tone, { range: shifted(placement, lies), tolerance, expected });
  if (judged.open) return judged.open;
  const { outcome, basis, allowed, kit } = judged;
  const known = { ...judged.known, stops: exposureError(judged.known.stops, placement) };
  const claim = `an error of ${rangeText(lies)}`;
  return {
    ...outcome,
    expected,
    measured: knownText(known),
    stops: checkStops(basis, lies, known, allowed),
    sentence: `${sentenceCase(toneName(ask))} missed ${rangeText(placement)} by ${measuredText(known)}. ${verdictSentence(outcome.code, claim, "tone")}${kit}`,
  };
}

/** A tone held against a range, or the finding of a claim that its measurement leaves open. */
type JudgedTone =
  | { readonly open: Finding }
  | {
      readonly open: null;
      readonly outcome: Pick<Finding, "outcome" | "code">;
      readonly basis: NonNullable<FrameResult["basis"]>;
      readonly known: KnownStops;
      readonly allowed: number;
      /** A closing sentence where a measured kit gave the light; otherwise empty. */
      readonly kit: string;
    };

function judgeTone(
  ask: ToneAsk,
  { row, failure }: Tone,
  claim: {
    readonly range: OpenRange;
    readonly tolerance: number | null;
    readonly expected: string;
  },
): JudgedTone {
  const { range, tolerance, expected } = claim;
  if (failure) return { open: notRun(expected, ask.frame, failure) };
  if (ask.basis !== null && row.basis !== ask.basis) {
    const sentence = `The claim is on the ${ask.basis} basis, but ${ask.frame} can only be measured on the ${row.basis} basis.`;
    return { open: cannotTell({ code: "other-basis", expected, sentence }) };
  }
  const { fall, basis } = row;
  if (!fall || !basis) {
    const why = row.notes.at(-1);
    const sentence = `Cannot tell where ${toneName(ask)} fell. ${why?.message ?? ""}`.trim();
    return { open: cannotTell({ code: why?.code ?? "not-measured", expected, sentence }) };
  }
  const allowed = tolerance ?? (row.tolerance as number);
  const { verdict, known } = judgeFall({ ...row, fall }, range, allowed);
  return {
    open: null,
    outcome: outcomeOf(verdict, fall.bound),
    basis,
    known,
    allowed,
    kit: row.kit ? ` The kit ${row.kit.file} gave the light.` : "",
  };
}

/**
 * What became of a claim, as a sentence.
 *
 * @param code - of the finding
 * @param claim - what was claimed, in words
 * @param thing - what was measured
 */
export function verdictSentence(code: string, claim: string, thing: "tone" | "reading"): string {
  switch (code) {
    case "holds":
      return `The claim of ${claim} holds.`;
    case "near-limit":
      return `That is too close to the limit to tell whether the claim of ${claim} holds.`;
    case "censored":
      return `Too much is clipped or black to tell whether the claim of ${claim} holds.`;
    default:
      return `The claim of ${claim} does not hold: the ${thing} is ${code}.`;
  }
}

/** The falls that give errors from a placement: beyond its lighter end for errors above 0, its darker end for those below. */
export function shifted(placement: PlacedAsk["placement"], lies: OpenRange): OpenRange {
  const end = (error: number, atZero: number): number =>
    (error > 0 ? placement.to : error < 0 ? placement.from : atZero) + error;
  return { from: end(lies.from, placement.from), to: end(lies.to, placement.to) };
}

/** A tone by its region and frame, as a sentence names it. */
export function toneName({ regionName, frame }: ToneAsk): string {
  return `the ${regionName} of ${frame}`;
}

function measuredText(known: KnownStops): string {
  return `${boundedStopsText(known)}${known.byMedian ? " (median)" : ""}`;
}
