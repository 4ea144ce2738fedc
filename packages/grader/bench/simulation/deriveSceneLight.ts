import type { SceneLightKnot } from "@tonefall/tone-core";
import { hypot, squared } from "@tonefall/tone-core";
import { quantileSorted } from "simple-statistics";

/** A tone and the light behind it. */
export interface ShownLight {
  /** The rendering's family; each counts as one draw of what renderings there are. */
  readonly family: string;
  /** Stops of light from middle grey. */
  readonly light: number;
  /** Rendered stops from middle grey. */
  readonly shown: number;
}

/** Where knots stand, and how far to either side they look, rendered stops. */
const PLACES: readonly (readonly [shown: number, reach: number])[] = [
  ...[-9, -8, -7, -6, -5, -4, -3].map((shown) => [shown, 0.5] as const),
  ...[-2, -1, -0.5, 0, 0.5].map((shown) => [shown, 0.3] as const),
  ...[1, 1.25, 1.5, 1.75, 2].map((shown) => [shown, 0.15] as const),
  ...[2.2, 2.4].map((shown) => [shown, 0.08] as const),
];

/** Stops of light to a rendered stop within a window: the usual contrast is near enough for so short a way. */
const LIGHT_PER_SHOWN: number = 1 / 1.4;

/**
 * Bounds are derived from light up to here: lighter subjects than snow in sun, a stop over. With more of it, a bound would
 * rise with whatever light was tried, and be too high for the cameras that reach white early.
 */
const MOST_LIGHT_STOPS = 3;

/** Knots rise by this much at least, so that the curve has an inverse. */
const LEAST_RISE = 0.04;

/**
 * Derives the knots of `sceneLight` from tones whose light is known.
 *
 * Below the shoulder the light is the middle between the 16th and the 84th percentile of what shows so, and its
 * uncertainty half of the way between them. On the shoulder it is the 16th percentile, and its uncertainty the way down to
 * the 2.5th: a bound that holds as a normal one does. A rendering that nobody has seen strays from those at hand as they
 * stray from each other, which widens both.
 *
 * @param samples - light spread evenly beyond either end of what renderings show
 * @param shoulder - rendered stops from which the light is a bound
 */
export function deriveSceneLight(
  samples: readonly ShownLight[],
  shoulder: number,
): readonly SceneLightKnot[] {
  const knots: SceneLightKnot[] = [];
  let [least, leastUncertainty] = [Number.NEGATIVE_INFINITY, 0];
  for (const [shown, reach] of PLACES) {
    const bound = shown > shoulder;
    const most = bound ? MOST_LIGHT_STOPS : Number.POSITIVE_INFINITY;
    const near = samples
      .filter((sample) => Math.abs(sample.shown - shown) <= reach && sample.light <= most)
      .map(({ family, light, shown: at }) => ({
        family,
        light: light - (at - shown) * LIGHT_PER_SHOWN,
      }));
    const { low, high, lowest } = spread(near.map(({ light }) => light));
    const unseen = strayOfTheUnseen(near);
    const stops = Math.max(bound ? low : (low + high) / 2, least + LEAST_RISE);
    const uncertainty = hypot(bound ? low - lowest : (high - low) / 2, unseen);
    if (shown >= shoulder) leastUncertainty = Math.max(leastUncertainty, uncertainty);
    knots.push([shown, round(stops), round(bound ? leastUncertainty : uncertainty)]);
    least = stops;
  }
  return knots;
}

/**
 * What a family of renderings that is not among the samples adds, one standard deviation: families' medians, taken as n
 * draws of a normal population, predict another with (n + 1) / (n - 1) of their own variance, which the samples' spread
 * holds once.
 */
function strayOfTheUnseen(
  near: readonly { readonly family: string; readonly light: number }[],
): number {
  const medians = [...new Set(near.map(({ family }) => family))].map((one) => {
    const lights = near.filter(({ family }) => family === one).map(({ light }) => light);
    return quantileSorted(sorted(lights), 0.5);
  });
  const n = medians.length;
  if (n < 2) return 0;
  const mean = medians.reduce((total, median) => total + median, 0) / n;
  const variance = medians.reduce((total, median) => total + squared(median - mean), 0) / n;
  return Math.sqrt((variance * 2) / (n - 1));
}

function spread(lights: readonly number[]) {
  const rising = sorted(lights);
  return {
    lowest: quantileSorted(rising, 0.025),
    low: quantileSorted(rising, 0.16),
    high: quantileSorted(rising, 0.84),
  };
}

const sorted = (values: readonly number[]): number[] => values.toSorted((a, b) => a - b);

const round = (stops: number): number => Math.round(100 * stops) / 100;
