import { hypot, naturalLog, squared } from "../exact/exactMath.ts";
import { median } from "../statistics/quantile.ts";
import { centred } from "./centred.ts";
import type { ResponseInput, ResponseObservation } from "./responseInput.ts";
import { type Curve, curveOf, type SlopeModel } from "./slopeModel.ts";

/** Prior of the logarithm of the slope against the file's own transfer: e^±1, wide enough for a linear sensor. */
export const SLOPE_PRIOR: { readonly mean: number; readonly deviation: number } = {
  mean: -naturalLog(1.15),
  deviation: 1,
};

/** Standard deviation of the second difference of the logarithm of the slope from knot to knot. Our judgement. */
const BEND_PRIOR = 0.05;

/** Places cannot be more alike than this from frame to frame: light, grain and blur, stops. Our judgement. */
const PLACE_ERROR = 0.01;

/** Residuals beyond this many deviations count less (Huber). Common practice. */
const HUBER = 1.5;

/** What stands for none at all in the trend of the frames' offsets, stops squared. */
const NO_TREND = 1e-3;

/** What an observation is off the curve by. */
export interface Leftover {
  readonly frame: number;
  readonly code: number;
  readonly stops: number;
  readonly weight: number;
}

/** The equations about some parameters, and the curve these make. */
export interface State {
  readonly normal: number[][];
  readonly gradient: number[];
  readonly scale: number;
  readonly curve: Curve;
  readonly leftovers: readonly Leftover[];
  readonly offsets: readonly number[];
}

/** An observation against the present curve. */
interface Row {
  readonly frame: number;
  readonly code: number;
  /** The whole code below, from the curve's first, and how far on to the next. */
  readonly cell: number;
  readonly part: number;
  /** Light of the place by this observation, stops. */
  readonly fitted: number;
  readonly error: number;
  weight: number;
}

/** Weights of observations added up at one whole code. */
interface CodeSums {
  own: number;
  /** Shared with the next code. */
  next: number;
  /** Weight times residual. */
  pull: number;
  /** Weight by frame. */
  readonly frames: Float64Array;
}

/**
 * The normal equations about the present parameters: u at the knots, then the frames' offsets.
 *
 * An observation lies between two whole codes and in one frame, so observations are added up by code and frame, and
 * become equations of the knots once for all. What the unknown light of a place takes from them is of rank one.
 */
export function linearise(
  model: SlopeModel,
  parameters: readonly number[],
  places: readonly (readonly ResponseObservation[])[],
  { exposures, exposureError }: Pick<ResponseInput, "exposures" | "exposureError">,
  scale: number,
): State {
  const { knots } = model;
  const curve = curveOf(model, parameters);
  const { slopes } = curve;
  const size = knots + exposures.length;
  const given = exposures.map(
    (exposure, frame) => exposure + (parameters[knots + frame] as number),
  );
  const normal = new Float64Array(size * size);
  const gradient = new Array<number>(size).fill(0);
  const leftovers: Leftover[] = [];
  const deviations: number[] = [];
  const sums = slopes.map(
    (): CodeSums => ({ own: 0, next: 0, pull: 0, frames: new Float64Array(exposures.length) }),
  );
  const common = new Float64Array(size);
  for (const seen of places) {
    const rows = seen.map((observation) => rowOf(observation, model, curve, given, scale));
    const light = lightOf(rows);
    common.fill(0);
    let total = 0;
    for (const { frame, code, cell, part, fitted, error, weight } of rows) {
      const residual = fitted - light;
      const [near, far] = [weight * (1 - part), weight * part];
      const [here, next] = [sums[cell], sums[cell + 1]] as [CodeSums, CodeSums];
      here.own += near * (1 - part);
      here.next += near * part;
      next.own += far * part;
      here.pull += near * residual;
      next.pull += far * residual;
      here.frames[frame] = (here.frames[frame] as number) + near;
      next.frames[frame] = (next.frames[frame] as number) + far;
      const [low, high] = [slopes[cell], slopes[cell + 1]] as [Float64Array, Float64Array];
      for (let k = 0; k < knots; k++) {
        common[k] = (common[k] as number) + near * (low[k] as number) + far * (high[k] as number);
      }
      const own = knots + frame;
      common[own] = (common[own] as number) - weight;
      normal[own * size + own] = (normal[own * size + own] as number) + weight;
      gradient[own] = (gradient[own] as number) - weight * residual;
      total += weight;
      leftovers.push({ frame, code, stops: residual, weight });
      // The place's own light used up one of these observations.
      deviations.push(
        (Math.abs(residual) / error) * scale * Math.sqrt(rows.length / (rows.length - 1)),
      );
    }
    takeOutLight(normal, common, total);
  }
  addCodes(normal, gradient, sums, slopes);
  const matrix = Array.from({ length: size }, (_, a) =>
    Array.from(normal.subarray(a * size, (a + 1) * size)),
  );
  addPriors(matrix, gradient, parameters, knots, { exposures, exposureError });
  mirrorUpper(matrix);
  return {
    normal: matrix,
    gradient,
    scale: Math.max(0.1, 1.4826 * median(deviations)),
    curve,
    leftovers,
    offsets: parameters.slice(knots),
  };
}

/** Takes from the upper half what the unknown light of a place shares between its observations. */
function takeOutLight(normal: Float64Array, common: Float64Array, total: number): void {
  const size = common.length;
  for (let a = 0; a < size; a++) {
    const left = (common[a] as number) / total;
    if (left === 0) continue;
    for (let b = a; b < size; b++) {
      normal[a * size + b] = (normal[a * size + b] as number) - left * (common[b] as number);
    }
  }
}

/** Makes a matrix symmetric by its upper half: only that was added up, and rounding would part the lower from it. */
function mirrorUpper(matrix: readonly number[][]): void {
  for (const [a, row] of matrix.entries()) {
    for (let b = 0; b < a; b++) row[b] = matrix[b]?.[a] as number;
  }
}

function rowOf(
  { frame, code, codeError }: ResponseObservation,
  { from }: SlopeModel,
  { stops }: Curve,
  given: readonly number[],
  scale: number,
): Row {
  const cell = Math.min(stops.length - 2, Math.max(0, Math.floor(code) - from));
  const part = code - from - cell;
  const low = stops[cell] as number;
  const rise = (stops[cell + 1] as number) - low;
  const error = hypot(codeError * rise, PLACE_ERROR) * scale;
  const fitted = low + part * rise - (given[frame] as number);
  return { frame, code, cell, part, fitted, error, weight: hat(code) / squared(error) };
}

/** The light of a place, stops: Huber's weights need it, and it is a mean by these very weights; two rounds settle it. */
function lightOf(rows: readonly Row[]): number {
  let light = weightedMean(rows);
  for (let round = 0; round < 2; round++) {
    for (const row of rows) {
      const far = Math.abs(row.fitted - light) / row.error;
      row.weight = (hat(row.code) / squared(row.error)) * (far > HUBER ? HUBER / far : 1);
    }
    light = weightedMean(rows);
  }
  return light;
}

function weightedMean(rows: readonly Row[]): number {
  let [sum, total] = [0, 0];
  for (const { fitted, weight } of rows) {
    sum += fitted * weight;
    total += weight;
  }
  return sum / total;
}

/** What was added up by code, as equations of the knots and frames; the upper half of a symmetric matrix. */
function addCodes(
  normal: Float64Array,
  gradient: number[],
  sums: readonly CodeSums[],
  slopes: readonly Float64Array[],
): void {
  const size = gradient.length;
  const knots = (slopes[0] as Float64Array).length;
  for (const [i, { own, next, pull, frames }] of sums.entries()) {
    if (own === 0) continue;
    const here = slopes[i] as Float64Array;
    const after = slopes[i + 1] ?? here;
    // No knot beyond the next code's has a part in it.
    let end = knots;
    while (end > 0 && after[end - 1] === 0) end -= 1;
    for (let a = 0; a < end; a++) {
      const left = here[a] as number;
      const byHere = own * left + next * (after[a] as number);
      const byAfter = next * left;
      for (let b = a; b < end; b++) {
        const at = a * size + b;
        normal[at] =
          (normal[at] as number) + byHere * (here[b] as number) + byAfter * (after[b] as number);
      }
      for (let frame = 0; frame < frames.length; frame++) {
        const at = a * size + knots + frame;
        normal[at] = (normal[at] as number) - left * (frames[frame] as number);
      }
      gradient[a] = (gradient[a] as number) + left * pull;
    }
  }
}

function addPriors(
  normal: number[][],
  gradient: number[],
  parameters: readonly number[],
  knots: number,
  { exposures, exposureError }: Pick<ResponseInput, "exposures" | "exposureError">,
): void {
  const add = (
    indices: readonly number[],
    factors: readonly number[],
    wanted: number,
    deviation: number,
  ): void => {
    const weight = 1 / squared(deviation);
    const value = indices.reduce(
      (sum, at, i) => sum + (factors[i] as number) * (parameters[at] as number),
      0,
    );
    for (const [i, a] of indices.entries()) {
      gradient[a] = (gradient[a] as number) + weight * (factors[i] as number) * (value - wanted);
      for (const [j, b] of indices.entries()) {
        const row = normal[a] as number[];
        row[b] = (row[b] as number) + weight * (factors[i] as number) * (factors[j] as number);
      }
    }
  };
  for (let k = 0; k < knots; k++) add([k], [1], SLOPE_PRIOR.mean, SLOPE_PRIOR.deviation);
  for (let k = 1; k < knots - 1; k++) add([k - 1, k, k + 1], [1, -2, 1], 0, BEND_PRIOR);
  const frames = exposures.map((_, frame) => knots + frame);
  for (const frame of frames) add([frame], [1], 0, exposureError);
  // A trend of all offsets with exposure is the curve's own scale: least squares would shrink both together, since
  // that shrinks every residual. The given exposures alone decide the scale.
  add(frames, centred(exposures), 0, NO_TREND);
}

/** Debevec and Malik's weight: full at the middle of the codes, none at their ends. [DEBEVEC-MALIK] */
function hat(code: number): number {
  return Math.max(1e-3, Math.min(code, 255 - code) / 127.5);
}
