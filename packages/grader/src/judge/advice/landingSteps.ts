import { squared } from "@tonefall/tone-core";
import type { CauseFacts } from "../cause/causeFacts.ts";
import { lightBehind, type RenderedCurve, shownStops } from "../cause/renderedCurve.ts";

/** Light that takes a tone into its tolerance by one curve, signed stops from where it is, and how likely that curve is. */
interface Band {
  readonly middle: number;
  readonly halfWidth: number;
  readonly weight: number;
}

/**
 * The change that most likely takes a missed tone into its tolerance, over the curves that its picture may have come
 * through; by each curve a tone in the middle of its tolerance counts 1, at its ends 0.
 *
 * @param stepsPerStop - of the camera
 * @param mostSteps - no more than these are advised
 * @returns whole steps, signed; null where none of them would do by any curve
 */
export function landingSteps(
  facts: CauseFacts,
  curves: readonly RenderedCurve[],
  stepsPerStop: number,
  mostSteps: number,
): number | null {
  const bands = curves.map((curve) => bandOf(facts, curve, stepsPerStop));
  const changes = Array.from({ length: mostSteps }, (_, i) => -facts.side * (i + 1));
  const landings = changes.map((steps) => landing(bands, steps / stepsPerStop));
  const best = Math.max(...landings);
  return best > 0 ? (changes[landings.indexOf(best)] as number) : null;
}

function bandOf({ row, shown }: CauseFacts, curve: RenderedCurve, stepsPerStop: number): Band {
  const { placement, tolerance } = row;
  const light = (stops: number): number => lightBehind(curve, shownStops(row, stops));
  const at = light(shown);
  const from = light((placement?.from ?? 0) - (tolerance ?? 0)) - at;
  const to = light((placement?.to ?? 0) + (tolerance ?? 0)) - at;
  return {
    middle: (from + to) / 2,
    // Nobody can set a camera more finely than to half a step.
    halfWidth: Math.max((to - from) / 2, 1 / (2 * stepsPerStop)),
    weight: curve.weight,
  };
}

function landing(bands: readonly Band[], stops: number): number {
  return bands.reduce((sum, { middle, halfWidth, weight }) => {
    return sum + weight * Math.max(0, 1 - squared((stops - middle) / halfWidth));
  }, 0);
}
