import { LIKENESS_SIDE, LIKENESS_STEPS_PER_STOP } from "../judge/measure/likeness.ts";

/** What a picture looks like from far away, ready to be compared. */
export interface Likeness {
  /** Tones of its parts, stops, less their mean. */
  readonly parts: Float64Array;
  /** Their mean, stops from full scale and a constant. */
  readonly mean: number;
  /** Their root mean square around the mean, stops. */
  readonly spread: number;
}

/** How two pictures differ from far away. */
export interface LikenessGap {
  /** From -1 to 1; 1 where the parts of both follow one pattern. */
  readonly correlation: number;
  /** Root mean square between their parts once both are equally light, stops. */
  readonly differenceStops: number;
  /** By how much the first is lighter, stops. */
  readonly lighterStops: number;
}

const PARTS: number = LIKENESS_SIDE * LIKENESS_SIDE;

/** Reads what `likenessOf` gives; null where it is none. */
export function readLikeness(text: string): Likeness | null {
  if (!/^[0-9a-f]*$/.test(text) || text.length !== 2 * PARTS) return null;
  const stops = Float64Array.from(
    { length: PARTS },
    (_, i) => Number.parseInt(text.slice(2 * i, 2 * i + 2), 16) / LIKENESS_STEPS_PER_STOP,
  );
  const mean = stops.reduce((sum, part) => sum + part, 0) / PARTS;
  const parts = stops.map((part) => part - mean);
  const spread = Math.sqrt(parts.reduce((sum, part) => sum + part * part, 0) / PARTS);
  return { parts, mean, spread };
}

/** How two pictures differ from far away. */
export function compareLikeness(one: Likeness, other: Likeness): LikenessGap {
  let products = 0;
  for (let i = 0; i < PARTS; i++) products += (one.parts[i] as number) * (other.parts[i] as number);
  const shared = products / PARTS;
  const flat = one.spread === 0 || other.spread === 0;
  const squares = one.spread * one.spread + other.spread * other.spread - 2 * shared;
  return {
    correlation: flat ? 0 : shared / (one.spread * other.spread),
    differenceStops: Math.sqrt(Math.max(0, squares)),
    lighterStops: one.mean - other.mean,
  };
}

/**
 * From here two pictures count as one, saved twice. Measured on real photographs and their copies at JPEG qualities from 30 to
 * 90 and scales from 1 to 1/8: see docs/class.md.
 */
const LEAST_CORRELATION = 0.98;

/** Copies are as light as their originals; two exposures from one tripod are not, stops. */
const MOST_LIGHTER_STOPS = 0.5;

/** A picture with less of its own than this, stops, is like any other evenly lit surface, and is not compared. */
const LEAST_SPREAD_STOPS = 0.15;

/** Whether two pictures are one, saved twice, as far as can be told from far away. */
export function areAlike(one: Likeness, other: Likeness, gap: LikenessGap): boolean {
  const telling = Math.min(one.spread, other.spread) >= LEAST_SPREAD_STOPS;
  const equallyLight = Math.abs(gap.lighterStops) <= MOST_LIGHTER_STOPS;
  return telling && equallyLight && gap.correlation >= LEAST_CORRELATION;
}
