// Logarithms and powers that are the same to the last bit on every engine and every processor. JavaScript leaves
// Math.log2, Math.pow, `**` and their like to the engine, and engines differ: the same picture would have other last digits,
// and now and then another verdict, on another version of Node.
//
// Everything here uses only sums, products, quotients and square roots, which IEEE 754 fixes. Results are those of
// twice a double's precision, rounded once: off by 0.51 units in the last place at most, and exact where a double is.
import { add, divide, multiply, type Pair, pair, squareRoot, sum, sumOrdered } from "./pair.ts";

/** Parts of an octave in the tables. */
const PARTS = 128;

const ONE: Pair = pair(1);

/** Beyond this the terms of a series no longer reach a pair's last bit. */
const LEAST_TERM = 1e-33;

/** `(1 / 2) ln((1 + u) / (1 - u))`, by its series. */
function halfLogOfRatio(u: Pair): Pair {
  const squared = multiply(u, u);
  let power = u;
  let total = u;
  for (let n = 3; power.high > LEAST_TERM; n += 2) {
    power = multiply(power, squared);
    total = add(total, divide(power, pair(n)));
  }
  return total;
}

/** ln 2 / 2: 2 is (1 + 1/3) / (1 - 1/3). */
const HALF_LN2: Pair = halfLogOfRatio(divide(ONE, pair(3)));
const LN2: Pair = add(HALF_LN2, HALF_LN2);
const LOG2_E: Pair = divide(ONE, LN2);
const TWO_LOG2_E: Pair = divide(ONE, HALF_LN2);

/** log2(1 + i / PARTS) at i, each from the one before. */
const LOGARITHMS: readonly Pair[] = (() => {
  const table = [pair(0)];
  for (let i = 0; i < PARTS - 1; i++) {
    const step = halfLogOfRatio(divide(ONE, pair(2 * (PARTS + i) + 1)));
    table.push(add(table[i] as Pair, multiply(TWO_LOG2_E, step)));
  }
  return [...table, ONE];
})();

/** 2^(i / PARTS) at i. */
const POWERS: readonly Pair[] = (() => {
  let step = pair(2);
  for (let parts = 1; parts < PARTS; parts *= 2) step = squareRoot(step);
  const table = [ONE];
  for (let i = 1; i < PARTS; i++) table.push(multiply(table[i - 1] as Pair, step));
  return table;
})();

/** A double's bits. */
const bits = new DataView(new ArrayBuffer(8));
const EXPONENT_BIAS = 1023;
/** The exponent's place in the upper half of a double. */
const EXPONENT_AT = 20;
const LEAST_NORMAL = 2.2250738585072014e-308;
/** 2^54, by which subnormal numbers become normal. */
const LIFT = 18_014_398_509_481_984;

/** log2 of a finite number over 0, as a pair. */
function log2Pair(x: number): Pair {
  if (x < LEAST_NORMAL) return add(log2Pair(x * LIFT), pair(-54));
  bits.setFloat64(0, x);
  const upper = bits.getUint32(0);
  const octave = (upper >>> EXPONENT_AT) - EXPONENT_BIAS;
  bits.setUint32(0, (upper & 0xfffff) | (EXPONENT_BIAS << EXPONENT_AT));
  const mantissa = bits.getFloat64(0);
  const place = Math.round((mantissa - 1) * PARTS);
  const near = 1 + place / PARTS;
  const apart = mantissa - near;
  const ratio = divide(pair(apart), sum(mantissa, near));
  const squared = ratio.high * ratio.high;
  const tail = ratio.high * squared * (1 / 3 + squared * (1 / 5 + squared / 7));
  const within = multiply(TWO_LOG2_E, sumOrdered(ratio.high, ratio.low + tail));
  return add(add(pair(octave), LOGARITHMS[place] as Pair), within);
}

/** 2^k for a whole k of a normal double. */
function octaves(k: number): number {
  bits.setUint32(0, (k + EXPONENT_BIAS) << EXPONENT_AT);
  bits.setUint32(4, 0);
  return bits.getFloat64(0);
}

const TO_SUBNORMAL: number = octaves(-64);

/** 2 to a power that is a pair. */
function exp2Pair({ high, low }: Pair): number {
  if (!(high < 1025)) return high >= 1025 ? Number.POSITIVE_INFINITY : Number.NaN;
  if (high < -1080) return 0;
  const places = Math.round(high * PARTS);
  const octave = Math.floor(places / PARTS);
  const { high: atPlace, low: belowIt } = POWERS[places - octave * PARTS] as Pair;
  const z = multiply(LN2, sumOrdered(high - places / PARTS, low));
  const y = z.high;
  const tail =
    y * y * (1 / 2 + y * (1 / 6 + y * (1 / 24 + y * (1 / 120 + y * (1 / 720 + y / 5040)))));
  const mantissa = atPlace + (atPlace * (y + (z.low + tail)) + belowIt);
  if (octave > EXPONENT_BIAS) return mantissa * 2 * octaves(octave - 1);
  // A subnormal result is rounded once, by its last factor.
  if (octave <= -EXPONENT_BIAS) return mantissa * octaves(octave + 64) * TO_SUBNORMAL;
  return mantissa * octaves(octave);
}

/** What a logarithm gives for anything but a finite number over 0. */
function beyondLogarithms(x: number): number {
  if (x === 0) return Number.NEGATIVE_INFINITY;
  return x > 0 ? x : Number.NaN;
}

const isOrdinary = (x: number): boolean => x > 0 && x < Number.POSITIVE_INFINITY;

/** Logarithm to base 2: NaN under 0, negative infinity at 0. */
export function log2(x: number): number {
  return isOrdinary(x) ? log2Pair(x).high : beyondLogarithms(x);
}

/** Natural logarithm: NaN under 0, negative infinity at 0. */
export function naturalLog(x: number): number {
  return isOrdinary(x) ? multiply(log2Pair(x), LN2).high : beyondLogarithms(x);
}

const LOG10_2: Pair = divide(ONE, log2Pair(10));

/** Logarithm to base 10: NaN under 0, negative infinity at 0. */
export function log10(x: number): number {
  return isOrdinary(x) ? multiply(log2Pair(x), LOG10_2).high : beyondLogarithms(x);
}

/** 2 to a power. */
export function exp2(exponent: number): number {
  const ofNormal = Number.isInteger(exponent) && Math.abs(exponent) < EXPONENT_BIAS;
  return ofNormal ? octaves(exponent) : exp2Pair(pair(exponent));
}

/** e to a power. */
export function exponential(exponent: number): number {
  if (!(Math.abs(exponent) < 1000)) return exp2(exponent);
  return exp2Pair(multiply(pair(exponent), LOG2_E));
}

/**
 * A base to a power.
 *
 * @param base - at least 0; NaN comes of any other
 */
export function power(base: number, exponent: number): number {
  if (exponent === 0) return 1;
  if (!isOrdinary(base)) return ofBoundary(base, exponent);
  return powerOfLogarithm(log2Pair(base), exponent);
}

/** Powers of one base, as {@link power} gives them: its logarithm, half of their work, is taken once. */
export function powersOf(base: number): (exponent: number) => number {
  if (!isOrdinary(base)) return (exponent) => power(base, exponent);
  const logarithm = log2Pair(base);
  return (exponent) => powerOfLogarithm(logarithm, exponent);
}

function powerOfLogarithm(logarithm: Pair, exponent: number): number {
  const rough = logarithm.high * exponent;
  if (!(Math.abs(rough) < 1100)) return exp2(rough);
  return exp2Pair(multiply(logarithm, pair(exponent)));
}

/** Powers of 0 and infinity. */
function ofBoundary(base: number, exponent: number): number {
  if (!(base >= 0) || Number.isNaN(exponent)) return Number.NaN;
  return (base === 0) === exponent > 0 ? 0 : Number.POSITIVE_INFINITY;
}

/** A number times itself. */
export function squared(x: number): number {
  return x * x;
}

/** The cube root of a number, of either sign. */
export function cubeRoot(x: number): number {
  if (!isOrdinary(Math.abs(x))) return x;
  const size = Math.abs(x);
  const root = exp2Pair(divide(log2Pair(size), pair(3)));
  return x < 0 ? -root : root;
}

/**
 * The error function, by its series: 2 / sqrt(pi) times the integral of exp(-t^2) from 0 to x.
 *
 * @see [AS-7.1.6] every term has the sign of x, so nothing is lost between them
 */
export function errorFunction(x: number): number {
  // Beyond this, a double cannot distinguish it from its limit.
  if (!(Math.abs(x) < 6)) return Math.sign(x);
  const twice = 2 * x * x;
  let term = x;
  let total = x;
  for (let n = 3; Math.abs(term) > (Math.abs(total) * Number.EPSILON) / 4; n += 2) {
    term *= twice / n;
    total += term;
  }
  return (2 / Math.sqrt(Math.PI)) * exponential(-x * x) * total;
}

/** The square root of the sum of squares: of uncertainties that know nothing of each other, the one of their sum. */
export function hypot(...values: readonly number[]): number {
  const largest = values.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  if (!isOrdinary(largest)) return largest;
  // By a power of two, which leaves every digit as it is, squares stay within a double's range.
  const scale = octaves(Math.min(1022, Math.max(-1022, Math.round(log2(largest)))));
  let squares = 0;
  for (const value of values) squares += (value / scale) * (value / scale);
  return scale * Math.sqrt(squares);
}

/** A quarter turn in radians. */
const QUARTER: Pair = { high: Math.PI / 2, low: 6.123233995736766e-17 };

/** The cosine of an angle in radians; for angles of a few turns, to two units in the last place. */
export function cosine(angle: number): number {
  if (!Number.isFinite(angle)) return Number.NaN;
  const quarters = Math.round(angle / QUARTER.high);
  const whole = multiply(pair(quarters), QUARTER);
  const rest = angle - whole.high - whole.low;
  const [even, odd] = [series(rest, 0), rest * series(rest, 1)];
  const turned = ((quarters % 4) + 4) % 4;
  return [even, -odd, -even, odd][turned] as number;
}

/** The series of the cosine, and that of the sine over its angle, for up to an eighth turn. */
function series(angle: number, first: 0 | 1): number {
  let total = 1;
  for (let n = 18 + first; n > first + 1; n -= 2) {
    total = 1 - (total * angle * angle) / (n * (n - 1));
  }
  return total;
}
