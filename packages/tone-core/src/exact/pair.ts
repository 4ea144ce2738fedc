/**
 * A number as the exact sum of two doubles, some 106 bits. What these functions give is made of sums, products, quotients and
 * square roots alone, which IEEE 754 fixes to the last bit: the same on every engine and every processor.
 *
 * The error-free sum is Knuth's, the error-free product Dekker's [DEKKER-1971].
 */
export interface Pair {
  readonly high: number;
  /** At most half a unit in the last place of `high`. */
  readonly low: number;
}

/** 2^27 + 1: parts a double into two halves whose products are exact. */
const SPLITTER = 134_217_729;

/** A double as a pair. */
export function pair(high: number): Pair {
  return { high, low: 0 };
}

/** `a + b` without error, where `a` is the greater. */
export function sumOrdered(a: number, b: number): Pair {
  const high = a + b;
  return { high, low: b - (high - a) };
}

/** `a + b` without error. */
export function sum(a: number, b: number): Pair {
  const high = a + b;
  const ofB = high - a;
  return { high, low: a - (high - ofB) + (b - ofB) };
}

/** `a * b` without error, for factors under 2^996. */
function product(a: number, b: number): Pair {
  const high = a * b;
  const wideA = SPLITTER * a;
  const a1 = wideA - (wideA - a);
  const a2 = a - a1;
  const wideB = SPLITTER * b;
  const b1 = wideB - (wideB - b);
  const b2 = b - b1;
  return { high, low: a1 * b1 - high + a1 * b2 + a2 * b1 + a2 * b2 };
}

/** `a + b`. */
export function add(a: Pair, b: Pair): Pair {
  const { high, low } = sum(a.high, b.high);
  return sumOrdered(high, low + (a.low + b.low));
}

/** `a * b`. */
export function multiply(a: Pair, b: Pair): Pair {
  const { high, low } = product(a.high, b.high);
  return sumOrdered(high, low + (a.high * b.low + a.low * b.high));
}

/** `a / b`. */
export function divide(a: Pair, b: Pair): Pair {
  const high = a.high / b.high;
  const back = product(high, b.high);
  const left = a.high - back.high - back.low + (a.low - high * b.low);
  return sumOrdered(high, left / b.high);
}

/** The square root of `a`, which is over 0. */
export function squareRoot(a: Pair): Pair {
  const high = Math.sqrt(a.high);
  const back = product(high, high);
  return sumOrdered(high, (a.high - back.high - back.low + a.low) / (2 * high));
}
