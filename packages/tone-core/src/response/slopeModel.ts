import { exponential, naturalLog } from "../exact/exactMath.ts";
import type { ResponseInput, ResponseObservation } from "./responseInput.ts";

/**
 * The logarithm of the slope has knots at equal parts of log(p / (1 - p)), p being the share of the way from the darkest
 * to the lightest code that was seen: curves are nearly straight in the middle and bend towards the ends of their scale,
 * so the ends get most knots. The greatest distance between knots, and the codes of room beyond the ends. Our choice.
 */
const KNOT_STEP = 0.35;
const KNOT_ROOM = 2;

/** Where the slope of a response is free to bend. */
export interface SlopeModel {
  readonly from: number;
  readonly to: number;
  readonly knots: number;
  /** Stops of the file's own transfer from one whole code to the next, from `from` on. */
  readonly steps: readonly number[];
  /** The two knots about the middle of a step, and the second one's share. */
  readonly at: readonly (readonly [knot: number, share: number])[];
}

/** A response as its parameters have it. */
export interface Curve {
  /** Stops at whole codes from `from`, the first being 0. */
  readonly stops: Float64Array;
  /** Derivatives by the knots, row by code. */
  readonly slopes: readonly Float64Array[];
}

/** A model of the slope over the codes that were seen. */
export function slopeModel(
  places: readonly (readonly ResponseObservation[])[],
  { encodedStops }: ResponseInput,
): SlopeModel {
  const codes = places.flatMap((seen) => seen.map(({ code }) => code));
  const from = Math.max(1, Math.floor(codes.reduce((a, b) => Math.min(a, b), 255)));
  const to = Math.min(255, Math.ceil(codes.reduce((a, b) => Math.max(a, b), 1)));
  const count = Math.max(1, to - from);
  const warped = (code: number): number =>
    naturalLog((code - from + KNOT_ROOM) / (to - code + KNOT_ROOM));
  const width = 2 * warped(to);
  const knots = Math.max(2, Math.ceil(width / KNOT_STEP) + 1);
  const steps = Array.from(
    { length: count },
    (_, i) => encodedStops(from + i + 1) - encodedStops(from + i),
  );
  const at = steps.map((_, i) => {
    const place = (0.5 + warped(from + i + 0.5) / width) * (knots - 1);
    const knot = Math.min(knots - 2, Math.floor(place));
    return [knot, place - knot] as const;
  });
  return { from, to, knots, steps, at };
}

/** The curve of a model whose logarithm of the slope has these values at the knots. */
export function curveOf({ steps, at, knots }: SlopeModel, parameters: readonly number[]): Curve {
  const stops = new Float64Array(steps.length + 1);
  const slopes = [new Float64Array(knots)];
  for (const [i, step] of steps.entries()) {
    const [knot, share] = at[i] as readonly [number, number];
    const u = (1 - share) * (parameters[knot] as number) + share * (parameters[knot + 1] as number);
    const rise = step * exponential(u);
    stops[i + 1] = (stops[i] as number) + rise;
    const row = Float64Array.from(slopes[i] as Float64Array);
    row[knot] = (row[knot] as number) + (1 - share) * rise;
    row[knot + 1] = (row[knot + 1] as number) + share * rise;
    slopes.push(row);
  }
  return { stops, slopes };
}
