import { ToneError } from "../errors.ts";
import { expectList } from "../expectGiven.ts";
import { expectFinite } from "../expectNumber.ts";
import type { Bound } from "./verdict.ts";

/** The light behind a rendered tone, as far as a picture with an unknown tone curve shows it. */
export interface SceneLight {
  /** Stops of light from what the settings place at middle grey. */
  readonly stops: number;
  /** Standard uncertainty of the stops. */
  readonly uncertainty: number;
  /** `at least` on the shoulder, where a rendering turns light into nothing; null below it. */
  readonly bound: Bound | null;
}

/** Above this, in rendered stops from middle grey, only a lower bound of the light is known. [SCENE-LIGHT] */
export const SHOULDER_STOPS = 1.5;

/** A rendered tone in stops, the light behind it, and that light's standard uncertainty. */
export type SceneLightKnot = readonly [shown: number, stops: number, uncertainty: number];

/** Stops and light rise from knot to knot. [SCENE-LIGHT] */
const KNOTS: readonly SceneLightKnot[] = [
  // knots
  [-9, -6.72, 0.93],
  [-8, -6.18, 1.08],
  [-7, -5.32, 1.02],
  [-6, -4.51, 0.84],
  [-5, -3.69, 0.69],
  [-4, -2.95, 0.54],
  [-3, -2.21, 0.4],
  [-2, -1.48, 0.31],
  [-1, -0.74, 0.2],
  [-0.5, -0.37, 0.19],
  [0, 0.01, 0.17],
  [0.5, 0.41, 0.2],
  [1, 0.84, 0.24],
  [1.25, 1.07, 0.25],
  [1.5, 1.31, 0.27],
  [1.75, 1.35, 0.27],
  [2, 1.6, 0.27],
  [2.2, 1.96, 0.3],
  [2.4, 2.28, 0.33],
  // end of knots
];

/**
 * The light behind a rendered tone, by the renderings that cameras have.
 *
 * A rendering raises contrast around the mid-tones, so a stop of the picture is less than a stop of light; how much less
 * is not known, nor how flare and toe lift or bury the shadows. On the shoulder a whole range of light shows as nearly one
 * tone: above {@link SHOULDER_STOPS} the light is "at least" this, within the uncertainty. Derived from simulated cameras
 * of several families and from real brackets. [SCENE-LIGHT]
 *
 * @param shown - rendered stops from middle grey
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN and infinities
 *
 * @example
 * ```ts
 * sceneLight(2.2).bound; // => "at least"
 * ```
 */
export function sceneLight(shown: number): SceneLight {
  return sceneLightBy(KNOTS, shown);
}

/**
 * The light behind a rendered tone, as {@link sceneLight} finds it, by knots of the caller's.
 *
 * @param knots - two or more, rendered stops rising; straight lines join them, and the first and last go on beyond them
 * @param shown - rendered stops from middle grey
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for fewer than two knots, or stops that are not finite
 */
export function sceneLightBy(knots: readonly SceneLightKnot[], shown: number): SceneLight {
  expectList("the knots", knots);
  const at = expectFinite("rendered stops", shown);
  const [first, last] = [knots[0], knots.at(-1)];
  if (!first || !last || knots.length < 2) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected at least 2 knots for the light behind a tone but received ${knots.length}`,
    );
  }
  const inside = Math.min(Math.max(at, first[0]), last[0]);
  return {
    stops: expectFinite("stops of light", alongKnots(knots, at, 0, 1)),
    // Beyond the ends nothing is known better or worse than there.
    uncertainty: alongKnots(knots, inside, 0, 2),
    bound: at > SHOULDER_STOPS ? "at least" : null,
  };
}

/**
 * Rendered stops behind which {@link sceneLight} sees this light.
 *
 * @param stops - of light, from middle grey
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN and infinities
 *
 * @example
 * ```ts
 * sceneLight(renderedOfLight(-2)).stops; // => -2
 * ```
 */
export function renderedOfLight(stops: number): number {
  const shown = alongKnots(KNOTS, expectFinite("stops of light", stops), 1, 0);
  return expectFinite("rendered stops", shown);
}

/** One column of knots by another: straight between them, and on along the ends. */
function alongKnots(
  knots: readonly SceneLightKnot[],
  at: number,
  from: 0 | 1,
  to: 0 | 1 | 2,
): number {
  const above = knots.findIndex((knot) => knot[from] > at);
  const i = Math.max(1, above < 0 ? knots.length - 1 : above);
  const [low, high] = [knots[i - 1] as SceneLightKnot, knots[i] as SceneLightKnot];
  return low[to] + ((high[to] - low[to]) * (at - low[from])) / (high[from] - low[from]);
}
