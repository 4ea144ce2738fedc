import type { Bound } from "@tonefall/tone-core";

/** A claim on the scene, beside the light that it is of; stops. */
export interface SceneClaim {
  readonly light: number;
  readonly stops: number;
  readonly uncertainty: number;
  readonly bound: Bound | null;
}

/** How well claims hold where the light fell within half a stop of one. */
export interface SceneCoverage {
  /** Stops of light from middle grey. */
  readonly stops: number;
  readonly claims: number;
  /** Share of claims that are bounds. */
  readonly bounds: number;
  /** Shares of claims that hold within one and within two of their standard uncertainties. */
  readonly withinOne: number;
  readonly withinTwo: number;
  /** The same of those that are numbers; null where none is. */
  readonly numbersWithinOne: number | null;
  readonly numbersWithinTwo: number | null;
}

/**
 * Coverage by the light's own stops, whole ones: a number holds where the light lies within its uncertainty, a bound
 * where the light does not lie beyond it by more than that.
 */
export function sceneCoverage(
  claims: readonly SceneClaim[],
  stops: readonly number[],
): readonly SceneCoverage[] {
  return stops.map((at) => {
    const here = claims.filter(({ light }) => Math.abs(light - at) < 0.5);
    const numbers = here.filter(({ bound }) => bound === null);
    const share = (list: readonly SceneClaim[], most: number): number =>
      list.filter((claim) => deviations(claim) < most).length / list.length;
    return {
      stops: at,
      claims: here.length,
      bounds: 1 - numbers.length / here.length,
      withinOne: share(here, 1),
      withinTwo: share(here, 2),
      numbersWithinOne: numbers.length > 0 ? share(numbers, 1) : null,
      numbersWithinTwo: numbers.length > 0 ? share(numbers, 2) : null,
    };
  });
}

/** By how many of its uncertainties a claim misses the light; below 0 where a bound leaves room. */
function deviations({ light, stops, uncertainty, bound }: SceneClaim): number {
  const beyond = (stops - light) / uncertainty;
  if (bound === null) return Math.abs(beyond);
  return bound === "at least" ? beyond : -beyond;
}
