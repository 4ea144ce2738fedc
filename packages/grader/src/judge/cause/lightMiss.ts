import { type Bound, exposureError } from "@tonefall/tone-core";
import type { CauseRow } from "./causeFacts.ts";
import { bell, curvesOf, lightsBehind } from "./renderedCurve.ts";

/** How far the light itself missed, whatever the rendering made of it. */
export interface LightMiss {
  /** Most likely size, stops of light; + is too light. */
  readonly stops: number;
  /** Chance in [0, 1] that the light missed on the side that the picture shows, and by more than a camera's step. */
  readonly chance: number;
}

/** A tone of the picture whose light is known from elsewhere. */
export interface Witness {
  /** Where it is shown, stops on the row's basis. */
  readonly shown: number;
  /** Its light, stops from middle grey; or from the light of the subject, with `fromSubject`. */
  readonly light: number;
  readonly fromSubject?: boolean;
  /** Where clipping or black hides part of it: which end it is shown of. @default null */
  readonly bound?: Bound | null;
  /** How well the two belong together, one standard deviation, stops. */
  readonly uncertainty: number;
}

/** A miss of light below this is none: cameras are set in thirds, and meters are that exact. */
const NO_MISS_STOPS = 0.4;

/** What is known of a missed tone whose light is sought. */
export interface ShownMiss {
  readonly row: CauseRow;
  /** Where the tone fell, stops on the row's basis. */
  readonly shown: number;
  /** 1 where the picture shows it too light, -1 where too dark. */
  readonly side: number;
}

/**
 * How far the light of a subject missed its placement, over the curves that a rendering may have.
 *
 * A picture alone leaves open how much of a miss the rendering made. What the meter read, and what a frame before it shows
 * after a known change, tell the light of further tones, and so which curves can be.
 */
export function lightMiss(
  { row, shown, side }: ShownMiss,
  witnesses: readonly Witness[],
): LightMiss {
  const { placement } = row;
  if (!placement) return { stops: 0, chance: 0 };
  const lights = lightsBehind(row, shown);
  const agreement = likelihoods(lights, witnesses, (tone) => lightsBehind(row, tone));
  let [total, sum, missed] = [0, 0, 0];
  curvesOf(row).forEach((curve, i) => {
    const weight = curve.weight * (agreement[i] as number);
    const miss = exposureError(lights[i] as number, placement);
    total += weight;
    sum += weight * miss;
    if (miss * side > NO_MISS_STOPS) missed += weight;
  });
  return total === 0 ? { stops: 0, chance: 0 } : { stops: sum / total, chance: missed / total };
}

/**
 * How well each of some curves agrees with what is known of further tones, in [0, 1].
 *
 * @param subjects - the light of the subject by each curve
 * @param lightsOf - the light of a shown tone by each curve
 */
export function likelihoods(
  subjects: Float64Array,
  witnesses: readonly Witness[],
  lightsOf: (shown: number) => Float64Array,
): Float64Array {
  const product = new Float64Array(subjects.length).fill(1);
  for (const { shown, light, fromSubject, bound, uncertainty } of witnesses) {
    const lights = lightsOf(shown);
    subjects.forEach((subject, i) => {
      const expected = fromSubject ? subject + light : light;
      const apart = (lights[i] as number) - expected;
      // What lies hidden beyond an end can make up for all that is missing on that side.
      const hidden = bound ? (bound === "at least") === apart < 0 : false;
      if (!hidden) product[i] = (product[i] as number) * bell(apart, uncertainty);
    });
  }
  return product;
}
