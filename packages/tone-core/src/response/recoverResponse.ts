import { ToneError } from "../errors.ts";
import type { ResponsePoint } from "./responseCurve.ts";

/** One place of a still scene as one frame of a bracket shows it. */
export interface ResponseObservation {
  /** Index of the frame. */
  readonly frame: number;
  /** Mean code of the place on the 8-bit scale, above 0 and below 255. */
  readonly code: number;
  /** One standard deviation of that mean, codes, > 0. */
  readonly codeError: number;
}

/** What {@link recoverResponse} works on. */
export interface ResponseInput {
  /** Places of the scene, each seen in one frame or more; those seen only once say nothing and are passed over. */
  readonly places: readonly (readonly ResponseObservation[])[];
  /** Given exposure of every frame, stops. */
  readonly exposures: readonly number[];
  /** One standard deviation of a given exposure, stops: what marked times and apertures are off by. */
  readonly exposureError: number;
  /** Light in stops that the file's own transfer function gives a code above 0, whatever its zero. */
  readonly encodedStops: (code: number) => number;
  /** The code that becomes the curve's middle, its zero. */
  readonly middleCode: number;
  /** Inverse of a symmetric positive matrix, from a library of linear algebra. */
  readonly invert: (matrix: number[][]) => number[][];
}

/** How one frame agrees with the curve. */
export interface FrameAgreement {
  /** By how much lighter the frame is than its given exposure says, stops; from the frames' median. */
  readonly offset: number;
  /** How far its places lie about the curve, its offset left out: scattered, or bent away by code, stops. */
  readonly spread: number;
  /** Root of the sum of the squares of both: how far the frame is from the curve at its given exposure, stops. */
  readonly residual: number;
  /** Places of it that took part. */
  readonly places: number;
}

/** A recovered response. */
export interface RecoveredResponse {
  /** One point for each whole code between the darkest and the lightest place; rising. */
  readonly points: readonly Required<ResponsePoint>[];
  /** How each frame agrees with the curve, in the order of the exposures. */
  readonly frames: readonly FrameAgreement[];
  /** Root mean square of the points' uncertainties, stops. */
  readonly uncertainty: number;
}

/**
 * The logarithm of the slope has knots at equal parts of log(p / (1 - p)), p being the share of the way from the darkest
 * to the lightest code that was seen: curves are nearly straight in the middle and bend towards the ends of their scale,
 * so the ends get most knots. So far apart at most, and so many codes of room beyond the ends. Our choice.
 */
const KNOT_STEP = 0.35;
const KNOT_ROOM = 2;

/** Prior of the logarithm of the slope against the file's own transfer: e^±1, wide enough for a linear sensor. */
const SLOPE_PRIOR = { mean: -Math.log(1.15), deviation: 1 };

/** Standard deviation of the second difference of the logarithm of the slope from knot to knot. Our judgement. */
const BEND_PRIOR = 0.05;

/** Places cannot be more alike than this from frame to frame: light, grain and blur, stops. Our judgement. */
const PLACE_ERROR = 0.01;

/** Residuals beyond so many deviations count less (Huber). Common practice. */
const HUBER = 1.5;

/**
 * Error of a curve from steps of one stop: a wave that repeats with every step fits any bracket, and only smoothness
 * speaks against it. It grows with the cube of the step. Measured on made curves: at most 0.01 stop at two stops and 0.03
 * at three, where nothing but noise disturbs; real brackets in steps of two stops moved by 0.03 with other frames.
 */
const STEP_AMBIGUITY = 0.004;

/** What stands for none at all in the trend of the frames' offsets, stops squared. */
const NO_TREND = 1e-3;

/** Exposures closer than this, stops, are one. */
const SAME_EXPOSURE = 0.1;

const ITERATIONS = 14;

/** Width in codes of the cells in which leftovers of one frame are averaged to see whether one curve serves all. */
const MISFIT_CODES = 16;

/**
 * Recovers which light stands behind a code from a bracket of one still scene.
 *
 * The equation is Debevec and Malik's: `g(code) = log2 E(place) + exposure(frame)`, in least squares with a smoothness
 * term and hat weights. Three things are ours. `g` is the integral of the file's own transfer slope times e^u with u
 * smooth over the codes, so that it rises whatever the data, and an undisturbed picture is exactly u = 0. An observation
 * counts by the inverse square of its error in stops, residuals far out by Huber's rule. The exposures carry their own
 * error, so that what marked times are off by is found, and stands in the uncertainty. Unknown lights are eliminated
 * place by place, which leaves a small system, solved by Gauss and Newton's method.
 *
 * @throws {@link ToneError} `TONE_EMPTY_INPUT` when fewer than 8 places are seen twice
 * @see [DEBEVEC-MALIK]
 */
export function recoverResponse(input: ResponseInput): RecoveredResponse {
  const places = input.places.filter((seen) => seen.length > 1);
  if (places.length < 8) {
    throw new ToneError(
      "TONE_EMPTY_INPUT",
      `Expected at least 8 places seen in two frames or more but received ${places.length}`,
    );
  }
  const model = slopeModel(places, input);
  const size = model.knots + input.exposures.length;
  let parameters = new Array<number>(size).fill(0).fill(SLOPE_PRIOR.mean, 0, model.knots);
  let scale = 1;
  let state = linearise(model, parameters, places, input, scale);
  let covariance: number[][] = [];
  for (let iteration = 0; iteration < ITERATIONS; iteration++) {
    covariance = input.invert(state.normal);
    const step = covariance.map((row) => dot(row, state.gradient));
    const largest = Math.max(...step.slice(0, model.knots).map(Math.abs));
    const damping = Math.min(1, 0.5 / Math.max(largest, 1e-12));
    parameters = parameters.map((value, i) => value - damping * (step[i] as number));
    scale = state.scale;
    state = linearise(model, parameters, places, input, scale);
    if (damping === 1 && largest < 1e-4) break;
  }
  return resultOf(model, covariance, state, input);
}

interface SlopeModel {
  readonly from: number;
  readonly to: number;
  readonly knots: number;
  /** Stops of the file's own transfer from one whole code to the next, from `from` on. */
  readonly steps: readonly number[];
  /** The two knots about the middle of a step, and the second one's share. */
  readonly at: readonly (readonly [knot: number, share: number])[];
}

interface Curve {
  /** Stops at whole codes from `from`, the first being 0. */
  readonly stops: Float64Array;
  /** Derivatives by the knots, row by code. */
  readonly slopes: readonly Float64Array[];
}

interface Leftover {
  readonly frame: number;
  readonly code: number;
  readonly stops: number;
  readonly weight: number;
}

interface State {
  readonly normal: number[][];
  readonly gradient: number[];
  readonly scale: number;
  readonly curve: Curve;
  readonly leftovers: readonly Leftover[];
  readonly offsets: readonly number[];
}

function slopeModel(
  places: readonly (readonly ResponseObservation[])[],
  { encodedStops }: ResponseInput,
): SlopeModel {
  const codes = places.flatMap((seen) => seen.map(({ code }) => code));
  const from = Math.max(1, Math.floor(codes.reduce((a, b) => Math.min(a, b), 255)));
  const to = Math.min(255, Math.ceil(codes.reduce((a, b) => Math.max(a, b), 1)));
  const count = Math.max(1, to - from);
  const warped = (code: number): number =>
    Math.log((code - from + KNOT_ROOM) / (to - code + KNOT_ROOM));
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

function curveOf({ steps, at, knots }: SlopeModel, parameters: readonly number[]): Curve {
  const stops = new Float64Array(steps.length + 1);
  const slopes = [new Float64Array(knots)];
  for (const [i, step] of steps.entries()) {
    const [knot, share] = at[i] as readonly [number, number];
    const u = (1 - share) * (parameters[knot] as number) + share * (parameters[knot + 1] as number);
    const rise = step * Math.exp(u);
    stops[i + 1] = (stops[i] as number) + rise;
    const row = Float64Array.from(slopes[i] as Float64Array);
    row[knot] = (row[knot] as number) + (1 - share) * rise;
    row[knot + 1] = (row[knot + 1] as number) + share * rise;
    slopes.push(row);
  }
  return { stops, slopes };
}

/** The normal equations about the present parameters: u at the knots, then the frames' offsets. */
function linearise(
  model: SlopeModel,
  parameters: readonly number[],
  places: readonly (readonly ResponseObservation[])[],
  { exposures, exposureError }: ResponseInput,
  scale: number,
): State {
  const { knots, from } = model;
  const curve = curveOf(model, parameters);
  const size = knots + exposures.length;
  const normal = Array.from({ length: size }, () => new Array<number>(size).fill(0));
  const gradient = new Array<number>(size).fill(0);
  const leftovers: Leftover[] = [];
  const deviations: number[] = [];
  const lastCell = model.steps.length - 1;
  // Rows of one place after the other: memory is taken once.
  const longest = places.reduce((most, seen) => Math.max(most, seen.length), 0);
  const jacobians = Array.from({ length: longest }, () => new Float64Array(size));
  const mean = new Float64Array(size);
  for (const seen of places) {
    const rows = seen.map(({ frame, code, codeError }) => {
      const cell = Math.min(lastCell, Math.max(0, Math.floor(code) - from));
      const part = code - from - cell;
      const [low, high] = [curve.stops[cell] as number, curve.stops[cell + 1] as number];
      const error = Math.hypot(codeError * (high - low), PLACE_ERROR) * scale;
      return {
        frame,
        code,
        cell,
        part,
        fitted:
          low +
          part * (high - low) -
          (exposures[frame] as number) -
          (parameters[knots + frame] as number),
        error,
        weight: hat(code) / error ** 2,
      };
    });
    // Huber's weights need the place's light, which is a mean by these very weights: two rounds settle it.
    let light = weightedMean(rows.map(({ fitted, weight }) => [fitted, weight]));
    for (let round = 0; round < 2; round++) {
      for (const row of rows) {
        const far = Math.abs(row.fitted - light) / row.error;
        row.weight = (hat(row.code) / row.error ** 2) * (far > HUBER ? HUBER / far : 1);
      }
      light = weightedMean(rows.map(({ fitted, weight }) => [fitted, weight]));
    }
    const total = rows.reduce((sum, { weight }) => sum + weight, 0);
    mean.fill(0);
    for (const [i, { cell, part, frame, weight }] of rows.entries()) {
      const low = curve.slopes[cell] as Float64Array;
      const high = curve.slopes[cell + 1] as Float64Array;
      const row = (jacobians[i] as Float64Array).fill(0);
      for (let k = 0; k < knots; k++) {
        row[k] = (1 - part) * (low[k] as number) + part * (high[k] as number);
      }
      row[knots + frame] = -1;
      for (let k = 0; k < size; k++) {
        mean[k] = (mean[k] as number) + ((row[k] as number) * weight) / total;
      }
    }
    for (const [i, { weight, fitted, frame, code, error }] of rows.entries()) {
      const row = jacobians[i] as Float64Array;
      for (let k = 0; k < size; k++) row[k] = (row[k] as number) - (mean[k] as number);
      const residual = fitted - light;
      for (let a = 0; a < size; a++) {
        const left = weight * (row[a] as number);
        if (left === 0) continue;
        gradient[a] = (gradient[a] as number) + left * residual;
        const target = normal[a] as number[];
        for (let b = a; b < size; b++) {
          target[b] = (target[b] as number) + left * (row[b] as number);
        }
      }
      leftovers.push({ frame, code, stops: fitted - light, weight });
      // One of so many observations went into the place's own light.
      deviations.push(
        (Math.abs(residual) / error) * scale * Math.sqrt(rows.length / (rows.length - 1)),
      );
    }
  }
  addPriors(normal, gradient, parameters, knots, { exposures, exposureError });
  // The lower half is left to the upper, which rounding would otherwise part from it.
  for (let a = 0; a < size; a++) {
    for (let b = 0; b < a; b++) (normal[a] as number[])[b] = normal[b]?.[a] as number;
  }
  return {
    normal,
    gradient,
    scale: Math.max(0.1, 1.4826 * median(deviations)),
    curve,
    leftovers,
    offsets: parameters.slice(knots),
  };
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
    const weight = 1 / deviation ** 2;
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

/** The least difference of two exposures, stops; frames of one exposure count once. */
function closestStep(exposures: readonly number[]): number {
  const sorted = [...exposures].sort((a, b) => a - b);
  const steps = sorted.slice(1).map((value, i) => value - (sorted[i] as number));
  return Math.min(...steps.filter((step) => step > SAME_EXPOSURE), 3);
}

function centred(values: readonly number[]): number[] {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return values.map((value) => value - mean);
}

function resultOf(
  { from, to, knots }: SlopeModel,
  covariance: readonly (readonly number[])[],
  { curve, leftovers, offsets }: State,
  { exposures, exposureError, middleCode }: ResponseInput,
): RecoveredResponse {
  const middle = Math.min(to, Math.max(from, middleCode));
  const cell = Math.min(curve.stops.length - 2, Math.floor(middle) - from);
  const part = middle - from - cell;
  const between = (list: ArrayLike<number>): number =>
    (1 - part) * (list[cell] as number) + part * (list[cell + 1] as number);
  const zero = between(curve.stops);
  const zeroSlopes = Array.from({ length: knots }, (_, k) =>
    between(curve.slopes.map((row) => row[k] as number)),
  );
  const misfit = Math.hypot(misfitOf(leftovers), STEP_AMBIGUITY * closestStep(exposures) ** 3);
  const scaleError = exposureError / Math.hypot(...centred(exposures));
  const points = Array.from(curve.stops, (stops, i) => {
    const slopes = zeroSlopes.map((slope, k) => (curve.slopes[i]?.[k] as number) - slope);
    const variance = slopes.reduce(
      (sum, slope, k) => sum + slope * dot(covariance[k]?.slice(0, knots) ?? [], slopes),
      0,
    );
    return {
      code: from + i,
      stops: stops - zero,
      uncertainty: Math.hypot(
        Math.sqrt(Math.max(0, variance)),
        scaleError * (stops - zero),
        misfit,
      ),
    };
  });
  const typical = median(offsets.filter((_, frame) => leftovers.some((l) => l.frame === frame)));
  const frames = exposures.map((_, frame) => {
    const own = leftovers.filter((leftover) => leftover.frame === frame);
    if (own.length === 0) return { offset: 0, spread: 0, residual: 0, places: 0 };
    const offset = (offsets[frame] as number) - typical;
    const centre = weightedMedian(own.map(({ stops, weight }) => [stops, weight]));
    const scattered =
      1.4826 * weightedMedian(own.map(({ stops, weight }) => [Math.abs(stops - centre), weight]));
    const spread = Math.max(scattered, misfitOf(own));
    return {
      offset: offset + centre,
      spread,
      residual: Math.hypot(offset + centre, spread),
      places: own.length,
    };
  });
  const uncertainty = Math.sqrt(
    points.reduce((sum, point) => sum + point.uncertainty ** 2, 0) / points.length,
  );
  return { points, frames, uncertainty };
}

/** Root mean square of what is left over, averaged by frame and run of codes: what one curve for all cannot say. */
function misfitOf(leftovers: readonly Leftover[]): number {
  const cells = new Map<string, [sum: number, weight: number]>();
  for (const { frame, code, stops, weight } of leftovers) {
    const key = `${frame} ${Math.floor(code / MISFIT_CODES)}`;
    const [sum, total] = cells.get(key) ?? [0, 0];
    cells.set(key, [sum + stops * weight, total + weight]);
  }
  let squares = 0;
  let weights = 0;
  for (const [sum, weight] of cells.values()) {
    squares += sum ** 2 / weight;
    weights += weight;
  }
  return weights > 0 ? Math.sqrt(squares / weights) : 0;
}

/** Debevec and Malik's weight: full at the middle of the codes, none at their ends. [DEBEVEC-MALIK] */
function hat(code: number): number {
  return Math.max(1e-3, Math.min(code, 255 - code) / 127.5);
}

function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, value, i) => sum + value * (b[i] as number), 0);
}

function weightedMean(pairs: readonly (readonly [value: number, weight: number])[]): number {
  let [sum, total] = [0, 0];
  for (const [value, weight] of pairs) {
    sum += value * weight;
    total += weight;
  }
  return sum / total;
}

function median(values: readonly number[]): number {
  return weightedMedian(values.map((value) => [value, 1]));
}

function weightedMedian(pairs: readonly (readonly [value: number, weight: number])[]): number {
  const sorted = [...pairs].sort(([a], [b]) => a - b);
  const half = sorted.reduce((sum, [, weight]) => sum + weight, 0) / 2;
  let seen = 0;
  for (const [value, weight] of sorted) {
    seen += weight;
    if (seen >= half) return value;
  }
  return 0;
}
