import { ERROR_BUDGET, exposureError, hypot, RENDERED_MEASURING } from "@tonefall/tone-core";
import type { NextSettings } from "../../model/nextSettings.ts";
import type { CauseFacts, CauseRow } from "../cause/causeFacts.ts";
import { lightBehind, rowStops, shownOf, shownStops } from "../cause/renderedCurve.ts";
import { hidesSize } from "./advisedLight.ts";
import { seenCurves } from "./seenCurves.ts";

/** Share of the curves that lie beyond either end of the range. */
const BEYOND_SHARE = 0.05;

/** How well a frame follows its settings and is measured, two standard deviations, stops. */
const FRAME_ROOM: number = 2 * hypot(ERROR_BUDGET["unknown-jpeg"].settingsPair, RENDERED_MEASURING);

/**
 * Where the tone would fall after a change of light, by nine in ten of the curves that the picture may have come through.
 *
 * @param stops - of light given besides; + is more
 * @returns stops on the row's basis; null where clipping or black hides where the tone fell
 */
export function expectedFall(
  facts: CauseFacts,
  preceding: readonly CauseRow[],
  stops: number,
): NextSettings["expectedFall"] {
  if (hidesSize(facts)) return null;
  const { row, shown } = facts;
  const falls = seenCurves(facts, preceding)
    .map((curve) => {
      const light = lightBehind(curve, shownStops(row, shown)) + stops;
      return { stops: rowStops(row, shownOf(curve, light)), weight: curve.weight };
    })
    .sort((a, b) => a.stops - b.stops);
  return {
    from: fallAt(falls, BEYOND_SHARE) - FRAME_ROOM,
    to: fallAt(falls, 1 - BEYOND_SHARE) + FRAME_ROOM,
  };
}

/** From this many stops of light on, curves differ by more than most tolerances. */
const LARGE_STEP_STOPS = 1;

/** Whether the next frame should be checked: a large step may leave the tone outside its tolerance. */
export function asksForCheck(
  { expectedFall: expected, stops }: NextSettings,
  { placement, tolerance }: CauseRow,
): boolean {
  if (!expected || !placement || stops === null || Math.abs(stops) < LARGE_STEP_STOPS) return false;
  return [expected.from, expected.to].some(
    (fall) => Math.abs(exposureError(fall, placement)) > (tolerance ?? 0),
  );
}

/** The fall below which a share of the weight lies, of falls in rising order. */
function fallAt(
  falls: readonly { readonly stops: number; readonly weight: number }[],
  share: number,
): number {
  let left = share * falls.reduce((sum, { weight }) => sum + weight, 0);
  const at = falls.find(({ weight }) => {
    left -= weight;
    return left <= 0;
  });
  return (at ?? falls.at(-1))?.stops as number;
}
