import { uprightFromStored } from "@tonefall/tone-core";
import { LIKENESS_SIDE, LIKENESS_STEPS_PER_STOP } from "../judge/measure/likeness.ts";

/** What a picture looks like from far away, ready to be compared. */
export interface Likeness {
  /** Tones of its parts, stops, less their mean. */
  readonly parts: Float64Array;
  /** Their mean, stops from full scale and a constant. */
  readonly mean: number;
  /** Their root mean square around the mean, stops. */
  readonly spread: number;
  /** The means of the parts that turning and mirroring exchange, one for each set of them, by {@link turns}. */
  readonly rings: Float64Array;
}

/** How two pictures differ from far away. */
interface LikenessGap {
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
  return { parts, mean, spread, rings: ringsOf(parts) };
}

/** How a picture was turned or mirrored, as orientation tags name it; 1 is not at all. */
export type Turn = 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8;

/** The turns and mirrorings of a picture, each as the place that every part comes from; and the parts that they exchange. */
interface Turns {
  readonly places: ReadonlyMap<Turn, Uint8Array>;
  /** For each part the number of its set. */
  readonly ringOf: Uint8Array;
  /** For each set the number of its parts. */
  readonly sizes: Uint8Array;
}

let made: Turns | null = null;

/** Made when first needed. */
function turns(): Turns {
  made ??= makeTurns();
  return made;
}

function makeTurns(): Turns {
  const all: readonly Turn[] = [1, 2, 3, 4, 5, 6, 7, 8];
  const places = new Map(all.map((turn) => [turn, placesAfter(turn)]));
  const least = Array.from({ length: PARTS }, (_, part) =>
    Math.min(...[...places.values()].map((place) => place[part] as number)),
  );
  const rings = [...new Set(least)];
  const ringOf = Uint8Array.from(least, (part) => rings.indexOf(part));
  const sizes = Uint8Array.from(rings, (_, ring) => ringOf.filter((own) => own === ring).length);
  return { places, ringOf, sizes };
}

/** For each part of a turned picture, the part of the unturned one that shows the same. */
function placesAfter(turn: Turn): Uint8Array {
  const side = LIKENESS_SIDE;
  return Uint8Array.from({ length: PARTS }, (_, part) => {
    const [row, column] = [Math.floor(part / side), part % side];
    const from = uprightFromStored({ x: (column + 0.5) / side, y: (row + 0.5) / side }, turn);
    return Math.floor(from.y * side) * side + Math.floor(from.x * side);
  });
}

function ringsOf(parts: Float64Array): Float64Array {
  const { ringOf, sizes } = turns();
  const sums = new Float64Array(sizes.length);
  for (let i = 0; i < PARTS; i++) {
    const ring = ringOf[i] as number;
    sums[ring] = (sums[ring] as number) + (parts[i] as number);
  }
  return sums.map((sum, ring) => sum / (sizes[ring] as number));
}

/**
 * How two pictures differ from far away.
 *
 * @param turn - how the other is turned before it is compared
 */
function compareLikeness(one: Likeness, other: Likeness, turn: Turn = 1): LikenessGap {
  const place = turns().places.get(turn) as Uint8Array;
  let products = 0;
  for (let i = 0; i < PARTS; i++) {
    products += (one.parts[i] as number) * (other.parts[place[i] as number] as number);
  }
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
function areAlike(one: Likeness, other: Likeness, gap: LikenessGap): boolean {
  const telling = Math.min(one.spread, other.spread) >= LEAST_SPREAD_STOPS;
  const equallyLight = Math.abs(gap.lighterStops) <= MOST_LIGHTER_STOPS;
  return telling && equallyLight && gap.correlation >= LEAST_CORRELATION;
}

/** A turned or mirrored picture is compared in seven more ways, and has to be as much more alike. Our judgement. */
const LEAST_TURNED_CORRELATION = 0.99;

/** A picture that shows the same as another, and how it is turned against it. */
export interface TurnedGap {
  readonly turn: Turn;
  readonly gap: LikenessGap;
}

/** How a picture repeats another: as it is, turned or mirrored; null where the two seem to be different pictures. */
export function sameFromFarAway(one: Likeness, other: Likeness): TurnedGap | null {
  if (mostCorrelation(one, other) < LEAST_CORRELATION) return null;
  for (const turn of turns().places.keys()) {
    const gap = compareLikeness(one, other, turn);
    const enough = turn === 1 || gap.correlation >= LEAST_TURNED_CORRELATION;
    if (enough && areAlike(one, other, gap)) return { turn, gap };
  }
  return null;
}

/**
 * The correlation that no turn can exceed. What a turn leaves as it is, the means over the parts that it exchanges, is compared
 * at once; the rest can at best fit entirely. That settles most pairs without comparing them in eight ways.
 */
function mostCorrelation(one: Likeness, other: Likeness): number {
  const { sizes } = turns();
  let shared = 0;
  let ofOne = 0;
  let ofOther = 0;
  for (let ring = 0; ring < sizes.length; ring++) {
    const [a, b] = [one.rings[ring] as number, other.rings[ring] as number];
    const size = sizes[ring] as number;
    shared += size * a * b;
    ofOne += size * a * a;
    ofOther += size * b * b;
  }
  const rest = ({ spread }: Likeness, own: number): number =>
    Math.sqrt(Math.max(0, PARTS * spread * spread - own));
  const most = shared + rest(one, ofOne) * rest(other, ofOther);
  return most / (PARTS * one.spread * other.spread || 1);
}
