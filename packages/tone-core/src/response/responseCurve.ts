import { ToneError } from "../errors.ts";
import { log2 } from "../exact/exactMath.ts";
import { expectList } from "../expectGiven.ts";
import { expectFinite, expectNotNegative, expectPositive } from "../expectNumber.ts";

/** One point of a response curve. */
export interface ResponsePoint {
  /** Code on the 8-bit scale, 0 to 255, fractions allowed. */
  readonly code: number;
  /** Light in stops from the curve's own middle. */
  readonly stops: number;
  /** One standard deviation of the stops; left out where it was not measured. */
  readonly uncertainty?: number;
}

/** A rendering's response: which light stands behind a code. It rises everywhere. */
export interface ResponseCurve {
  /** The lowest code that was measured. */
  readonly from: number;
  /** The highest code that was measured. */
  readonly to: number;
  /**
   * Stops from the curve's middle of a code; beyond the measured codes along the ends' own slope, and from code 0.5 down as
   * at 0.5, since code 0 has no logarithm.
   * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN and infinities
   */
  readonly stopsAt: (code: number) => number;
  /**
   * Code of a light in stops from the curve's middle, 0 to 255: the inverse of `stopsAt`.
   * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN and infinities
   */
  readonly codeAt: (stops: number) => number;
  /**
   * One standard deviation at a code, stops, interpolated; 0 where points bring none, beyond the measured codes as at their ends.
   * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN and infinities
   */
  readonly uncertaintyAt: (code: number) => number;
}

/**
 * A curve through measured points: cubic between them and monotone, by the slopes of Fritsch and Carlson.
 *
 * It is interpolated over the logarithm of the code, in which the curves of renderings are nearly straight, so that a
 * table of few points serves.
 *
 * @param points - two or more, codes above 0 and stops both rising
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` where they are fewer, do not rise, lie too close to show a slope, or bring
 *   an uncertainty that is none
 * @see [MONOTONE-CUBIC]
 *
 * @example
 * ```ts
 * const linear = responseCurve([{ code: 64, stops: -1 }, { code: 128, stops: 0 }, { code: 255, stops: 0.994 }]);
 * linear.stopsAt(90.5).toFixed(2); // => "-0.50"
 * linear.codeAt(-1).toFixed(2); // => "64.00"
 * ```
 */
export function responseCurve(points: readonly ResponsePoint[]): ResponseCurve {
  expectList("the points", points);
  const first = points[0];
  const last = points.at(-1);
  if (!first || !last || points.length < 2) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected at least 2 points for a response curve but received ${points.length}`,
    );
  }
  for (const [i, { code, stops, uncertainty = 0 }] of points.entries()) {
    expectNotNegative("uncertainty of a point", uncertainty);
    const before = points[i - 1];
    const rises = !before || (code > before.code && stops > before.stops);
    if (!(code > 0 && code <= 255) || !Number.isFinite(stops) || !rises) {
      throw new ToneError(
        "TONE_OUT_OF_RANGE",
        `Expected codes above 0 and up to 255, and stops, that both rise for a response curve but received ${stops} stops at code ${code}`,
      );
    }
  }
  const x = points.map(({ code }) => log2(code));
  const y = points.map(({ stops }) => stops);
  const slopes = monotoneSlopes(x, y);

  const stopsAt = (code: number): number => {
    const at = log2(Math.max(expectFinite("code", code), SMALLEST_CODE));
    const i = interval(x, at);
    const [x0, x1] = [x[i] as number, x[i + 1] as number];
    if (at <= (x[0] as number))
      return first.stops + (slopes[0] as number) * (at - (x[0] as number));
    if (at >= (x.at(-1) as number)) {
      return last.stops + (slopes.at(-1) as number) * (at - (x.at(-1) as number));
    }
    const h = x1 - x0;
    const t = (at - x0) / h;
    const u = 1 - t;
    return (
      (y[i] as number) * u * u * (1 + 2 * t) +
      (y[i + 1] as number) * t * t * (3 - 2 * t) +
      h * t * u * ((slopes[i] as number) * u - (slopes[i + 1] as number) * t)
    );
  };
  return {
    from: first.code,
    to: last.code,
    stopsAt,
    codeAt: (stops) => codeOf(stopsAt, expectFinite("stops", stops)),
    uncertaintyAt: (code) => {
      const at = Math.min(last.code, Math.max(first.code, expectFinite("code", code)));
      const i = interval(
        points.map((point) => point.code),
        at,
      );
      const [a, b] = [points[i], points[i + 1]] as [ResponsePoint, ResponsePoint];
      const part = (at - a.code) / (b.code - a.code);
      return (1 - part) * (a.uncertainty ?? 0) + part * (b.uncertainty ?? 0);
    },
  };
}

/** Code 0 has no logarithm: it is taken for half of the first code above it. */
const SMALLEST_CODE = 0.5;

/** Index of the interval that holds a place; the ends count to the first and the last. */
function interval(x: readonly number[], at: number): number {
  let low = 0;
  let high = x.length - 2;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if ((x[middle] as number) <= at) low = middle;
    else high = middle - 1;
  }
  return low;
}

/** Slopes at the points that keep a cubic between rising points rising: weighted harmonic means of the secants. */
function monotoneSlopes(x: readonly number[], y: readonly number[]): number[] {
  const widths = x.slice(1).map((at, i) => at - (x[i] as number));
  // Points may be so close that doubles give no slope between them.
  const secants = widths.map((h, i) =>
    expectPositive("slope between points", ((y[i + 1] as number) - (y[i] as number)) / h),
  );
  return x.map((_, i) => {
    const [before, after] = [secants[i - 1], secants[i]];
    if (before === undefined) return after as number;
    if (after === undefined) return before;
    const [h0, h1] = [widths[i - 1] as number, widths[i] as number];
    const [w0, w1] = [2 * h1 + h0, h1 + 2 * h0];
    return (w0 + w1) / (w0 / before + w1 / after);
  });
}

function codeOf(stopsAt: (code: number) => number, stops: number): number {
  let [low, high] = [SMALLEST_CODE, 255];
  if (stops <= stopsAt(low)) return 0;
  if (stops >= stopsAt(high)) return 255;
  while (high - low > 1e-9) {
    const middle = (low + high) / 2;
    if (stopsAt(middle) < stops) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
