import { sentenceCase, stopsText } from "../model/words.ts";
import type { OpenRange, PlacedAsk } from "./ask.ts";
import { cannotTell, type Finding } from "./finding.ts";
import { judgePlaced, toneName } from "./judgePlaced.ts";
import {
  checkStops,
  judgeRise,
  judgeStops,
  type KnownStops,
  knownText,
  outcomeOf,
  rangeText,
  toneDifference,
} from "./judgeStops.ts";
import { type Member, pairs, worst } from "./relationMember.ts";

/** Whether each frame is lighter than the one before it, in the order of the offsets. */
export function judgeOrder(members: readonly Member[], offsets: readonly number[]): Finding {
  const sorted = [...members.keys()]
    .sort((a, b) => (offsets[a] as number) - (offsets[b] as number))
    .map((i) => members[i] as Member);
  return worst(sorted.slice(1).map((lighter, i) => judgeLighter(sorted[i] as Member, lighter)));
}

/** Whether one frame shows its tone lighter than another. */
export function judgeLighter(darker: Member, lighter: Member): Finding {
  const expected = `${lighter.ask.frame} lighter than ${darker.ask.frame}`;
  const known = toneDifference(lighter.row, darker.row);
  if (!known) return cannotCompare(expected, darker, lighter);
  const verdict = judgeRise(known);
  const outcome = outcomeOf(verdict, known.bound);
  const range = { from: 0, to: Number.POSITIVE_INFINITY };
  return {
    ...outcome,
    code: outcome.outcome === "missed" ? "order-differs" : outcome.code,
    expected,
    measured: knownText(known),
    stops: checkStops(lighter.row.basis ?? "rendered", range, known, 0),
    sentence: `${differenceText(known, lighter, darker)}. The claim is that it is lighter.`,
  };
}

/**
 * Whether a tone moved as claimed from one frame to another.
 *
 * @param by - what is claimed, in the stops of the frames' basis
 */
export function judgeMove(from: Member, to: Member, by: number, tolerance: number | null): Finding {
  return judgeDifference(to, from, { from: by, to: by }, tolerance, "light-differs");
}

/** Whether all tones are the same; the two furthest apart are compared first. */
export function judgeAlike(members: readonly Member[], tolerance: number | null): Finding {
  const fallOf = ({ row }: Member): number => row.fall?.stops ?? 0;
  const apart = ([a, b]: readonly [Member, Member]): number => Math.abs(fallOf(a) - fallOf(b));
  const furthest = pairs(members).sort((a, b) => apart(b) - apart(a));
  return worst(
    furthest.map(([a, b]) => {
      const [darker, lighter] = fallOf(a) > fallOf(b) ? [b, a] : [a, b];
      return judgeDifference(lighter, darker, { from: 0, to: 0 }, tolerance, "tones-differ");
    }),
  );
}

function judgeDifference(
  a: Member,
  b: Member,
  range: OpenRange,
  tolerance: number | null,
  code: string,
): Finding {
  const expected = range.from === 0 ? "one tone" : `${rangeText(range)} apart`;
  const known = toneDifference(a.row, b.row);
  if (!known) return cannotCompare(expected, a, b);
  const allowed = tolerance ?? Math.max(a.row.tolerance ?? 0, b.row.tolerance ?? 0);
  const outcome = outcomeOf(judgeStops(known, range, allowed), known.bound);
  return {
    ...outcome,
    code: outcome.outcome === "missed" ? code : outcome.code,
    expected,
    measured: knownText(known),
    stops: checkStops(a.row.basis ?? "rendered", range, known, allowed),
    sentence: `${differenceText(known, a, b)}. The claim is ${range.from === 0 ? "the same tone" : `${stopsText(range.from)} stops`}, within ${allowed.toFixed(2)}.`,
  };
}

/** Whether a tone misses its placement, as the first frame of a correction should. */
export function judgeOff(
  member: Member,
  placement: PlacedAsk["placement"],
  tolerance: number | null,
): Finding {
  const placed = judgeOn(member, placement, tolerance);
  const expected = `off ${rangeText(placement)}`;
  if (placed.outcome === "undecided") return { ...placed, expected };
  const missed = placed.outcome === "missed";
  return {
    ...placed,
    outcome: missed ? "kept" : "missed",
    code: missed ? "holds" : "not-wrong",
    expected,
    sentence: `${sentenceCase(toneName(member.ask))} fell at ${placed.measured}, ${missed ? "off" : "on"} its placement of ${rangeText(placement)}. The first frame of a correction should be off it.`,
  };
}

/** Whether a tone falls on its placement. */
export function judgeOn(
  { ask, row }: Member,
  placement: PlacedAsk["placement"],
  tolerance: number | null,
): Finding {
  return judgePlaced({ ask, tolerance, placement }, { row, failure: null });
}

function cannotCompare(expected: string, a: Member, b: Member): Finding {
  const sentence = `${sentenceCase(toneName(a.ask))} and ${toneName(b.ask)} cannot be compared: too much is clipped, black or merged.`;
  return cannotTell({ code: "censored", expected, sentence });
}

/** How far one tone is from another: `The moss of a is 1.20 stops lighter than the moss of b`. */
function differenceText({ stops, bound }: KnownStops, a: Member, b: Member): string {
  const size = Math.abs(stops).toFixed(2);
  const lighter = stops > 0;
  const limit = bound && ((bound === "at least") === lighter ? "at least " : "at most ");
  const how =
    Number(size) === 0 && !bound
      ? "as light as"
      : `${limit ?? ""}${size} stops ${lighter ? "lighter" : "darker"} than`;
  return `${sentenceCase(toneName(a.ask))} is ${how} ${toneName(b.ask)}`;
}
