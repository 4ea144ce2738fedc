import type { ShownLight } from "./deriveSceneLight.ts";
import { seededRandom } from "./random.ts";
import { randomMiddleGrey } from "./renderingCurve.ts";

/**
 * What three brackets show that two real cameras rendered themselves: light by the settings, stops from middle grey, and
 * the median of what it showed as. A point is the median of 20 or more blocks of 16 by 16 pixels; middle grey is what a
 * frame of the series shows within half a stop of it, so where each camera puts middle grey stays unknown.
 */
export const MEASURED_BRACKETS: Readonly<
  Record<"room" | "street" | "window", readonly (readonly [light: number, shown: number])[]>
> = {
  room: [
    [-6.01, -8.74],
    [-4.32, -7.33],
    [-4.03, -6.76],
    [-3.68, -6.03],
    [-2.32, -3.5],
    [-2.03, -3.11],
    [-1.67, -2.6],
    [0, 0],
    [2.01, 1.98],
    [4, 2.46],
  ],
  street: [
    [-4, -7.24],
    [-2.33, -4.46],
    [-1.95, -3.1],
    [-1.69, -2.78],
    [0, 0],
    [1.67, 1.47],
    [2.08, 2.05],
    [2.3, 2.13],
  ],
  window: [
    [-5.95, -8.72],
    [-5.54, -8.23],
    [-4.95, -7.41],
    [-4.54, -6.92],
    [-3.95, -6.05],
    [-3.55, -5.59],
    [-2.95, -4.57],
    [-2.56, -4.03],
    [-1.95, -2.82],
    [-1.58, -2.35],
    [-0.95, -1.29],
    [-0.67, -0.92],
    [0, 0],
    [0.66, 0.81],
    [1.04, 1.25],
    [1.5, 1.63],
    [2.04, 2.18],
    [2.5, 2.4],
  ],
};

/** Light that the samples of a bracket are spread over, stops, one for each quarter. */
const SAMPLED_STOPS = { from: -8, to: 5, steps: 52 } as const;

/**
 * The brackets as samples for deriving: each of so many cameras renders as one of them does, with middle grey where a
 * camera of the simulation might put it. Light that a bracket does not reach has no sample.
 */
export function measuredSamples(cameras: number, seed: number): readonly ShownLight[] {
  const random = seededRandom(seed);
  const brackets = Object.values(MEASURED_BRACKETS);
  const samples: ShownLight[] = [];
  for (let camera = 0; camera < cameras; camera++) {
    const points = brackets[camera % brackets.length] as (typeof brackets)[number];
    const contrast = Math.abs(2 * shownAt(points, -0.5));
    const astray = randomMiddleGrey(random) / contrast;
    for (let step = 0; step <= SAMPLED_STOPS.steps; step++) {
      const light =
        SAMPLED_STOPS.from + ((SAMPLED_STOPS.to - SAMPLED_STOPS.from) * step) / SAMPLED_STOPS.steps;
      const shown = shownAt(points, light + astray);
      if (Number.isFinite(shown)) samples.push({ family: "measured", light, shown });
    }
  }
  return samples;
}

/** Straight between the points; NaN beyond them. */
function shownAt(points: readonly (readonly [number, number])[], light: number): number {
  const after = points.findIndex(([at]) => at >= light);
  const [low, high] = [points[after - 1], points[after]];
  if (!low || !high) return Number.NaN;
  return low[1] + ((high[1] - low[1]) * (light - low[0])) / (high[0] - low[0]);
}
