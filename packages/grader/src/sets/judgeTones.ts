import { stopsText } from "../model/words.ts";
import { type Finding, finding } from "./finding.ts";
import { judgePlaced } from "./judgeClaim.ts";
import {
  checkStops,
  judgeRise,
  judgeStops,
  knownText,
  outcomeOf,
  rangeText,
  toneDifference,
} from "./judgeStops.ts";
import type { OpenRange, PlacedAsk } from "./readySet.ts";
import { type Member, pairs, toneName, worst } from "./relationMember.ts";

/** Whether each frame is lighter than the one below it, in the order that the offsets give. */
export function judgeOrder(members: readonly Member[], offsets: readonly number[]): Finding {
  const sorted = [...members.keys()]
    .sort((a, b) => (offsets[a] as number) - (offsets[b] as number))
    .map((i) => members[i] as Member);
  return worst(sorted.slice(1).map((lighter, i) => judgeLighter(sorted[i] as Member, lighter)));
}

/** Whether a frame shows its tone lighter than another. */
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
    sentence: `${lighter.ask.frame} shows its ${lighter.ask.regionName} ${stopsText(known.stops)} stops from ${darker.ask.frame}, and is claimed to be lighter.`,
  };
}

/** Whether a tone moved by so much from one frame to another, in their own stops. */
export function judgeMove(from: Member, to: Member, by: number, tolerance: number | null): Finding {
  return judgeDifference(to, from, { from: by, to: by }, tolerance, "light-differs");
}

/** Whether all tones are one; the two that lie furthest apart are compared first. */
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
    sentence: `${toneName(a)} lies ${stopsText(known.stops)} stops from ${toneName(b)}; ${range.from === 0 ? "one tone" : `${stopsText(range.from)} stops`} within ${stopsText(allowed)} is claimed.`,
  };
}

/** Whether a tone misses its placement, as the wrong half of a correction does. */
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
    sentence: `${toneName(member)} fell at ${placed.measured}, ${missed ? "off" : "on"} its placement of ${rangeText(placement)}; the first of a correction is claimed to be off.`,
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
  const sentence = `${toneName(a)} and ${toneName(b)} cannot be compared: too much is clipped, black or merged.`;
  return finding("undecided", "censored", expected, null, sentence);
}
