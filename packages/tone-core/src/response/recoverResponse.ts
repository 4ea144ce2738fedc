import { ToneError } from "../errors.ts";
import { hypot, power, squared } from "../exact/exactMath.ts";
import { expectFinite } from "../expectNumber.ts";
import { median, weightedMedian } from "../statistics/quantile.ts";
import { centred } from "./centred.ts";
import { expectResponseInput, expectSpread } from "./expectResponseInput.ts";
import { type Leftover, linearise, SLOPE_PRIOR, type State } from "./normalEquations.ts";
import type { ResponsePoint } from "./responseCurve.ts";
import type { ResponseInput } from "./responseInput.ts";
import { type SlopeModel, slopeModel } from "./slopeModel.ts";

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
 * Error of a curve from steps of one stop, beyond what smoothness lets the covariance say: a wave that repeats with every
 * step fits any bracket. It grows with the cube of the step. Measured where nothing but noise disturbs, root mean square
 * over codes 20 to 235: at two stops 0.002 for usual curves, 0.007 for a linear one, 0.016 for one with a hard knee, and at three
 * 0.005, 0.023 and 0.036; at one stop nothing to be seen.
 */
const STEP_AMBIGUITY = 0.0015;

/** Number of measured exposures that the stated error of the exposures weighs as much as. Our judgement. */
const STATED_EXPOSURES = 3;

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
 * error, so that the errors of marked times are found and counted in the uncertainty. Unknown lights are eliminated
 * place by place, which leaves a small system, solved by Gauss and Newton's method.
 *
 * What `encodedStops` and `invert` throw is passed on.
 *
 * @param input - 8 places or more that are seen twice, of several codes, in frames of at least two exposures
 * @throws {@link ToneError} `TONE_EMPTY_INPUT` when fewer than 8 places are seen twice; `TONE_OUT_OF_RANGE` for a number
 *   outside its range, frames of one exposure, places of one code, encoded stops that fall, or equations without a solution
 * @see [DEBEVEC-MALIK]
 */
export function recoverResponse(input: ResponseInput): RecoveredResponse {
  expectResponseInput(input);
  const places = input.places.filter((seen) => seen.length > 1);
  if (places.length < 8) {
    throw new ToneError(
      "TONE_EMPTY_INPUT",
      `Expected at least 8 places seen in two frames or more but received ${places.length}`,
    );
  }
  expectSpread(input, places);
  const model = slopeModel(places, input);
  const size = model.knots + input.exposures.length;
  let parameters = new Array<number>(size).fill(0).fill(SLOPE_PRIOR.mean, 0, model.knots);
  let scale = 1;
  let { exposureError } = input;
  let state = linearise(model, parameters, places, { ...input, exposureError }, scale);
  let covariance: number[][] = [];
  for (let iteration = 0; iteration < ITERATIONS; iteration++) {
    covariance = input.invert(state.normal);
    const step = covariance.map((row) => expectFinite("step of the fit", dot(row, state.gradient)));
    const largest = Math.max(...step.slice(0, model.knots).map(Math.abs));
    const damping = Math.min(1, 0.5 / Math.max(largest, 1e-12));
    parameters = parameters.map((value, i) => value - damping * (step[i] as number));
    scale = state.scale;
    const found = foundExposureError(input, parameters.slice(model.knots), covariance);
    const settled = Math.abs(found / exposureError - 1) < 0.01;
    exposureError = found;
    state = linearise(model, parameters, places, { ...input, exposureError }, scale);
    if (damping === 1 && largest < 1e-4 && settled) break;
  }
  const result = resultOf(model, covariance, state, { ...input, exposureError });
  expectFinite("uncertainty of the response", result.uncertainty);
  return result;
}

/**
 * The stated error of the exposures, or a larger one where the frames' offsets show it: a step of expectation and
 * maximisation, in which the stated error counts as some exposures measured before. Never a smaller one, since offsets say
 * nothing of an error that grows with the exposure.
 */
function foundExposureError(
  { exposureError }: ResponseInput,
  offsets: readonly number[],
  covariance: readonly (readonly number[])[],
): number {
  const knots = covariance.length - offsets.length;
  const squares = offsets.reduce(
    (sum, offset, frame) =>
      sum + squared(offset) + Math.max(0, covariance[knots + frame]?.[knots + frame] as number),
    0,
  );
  // The trend was taken from the offsets.
  const free = offsets.length - 1;
  const mean = (STATED_EXPOSURES * squared(exposureError) + squares) / (STATED_EXPOSURES + free);
  return Math.max(exposureError, Math.sqrt(mean));
}

/** The least difference of two exposures, stops; frames of one exposure count once. */
function closestStep(exposures: readonly number[]): number {
  const sorted = [...exposures].sort((a, b) => a - b);
  const steps = sorted.slice(1).map((value, i) => value - (sorted[i] as number));
  return Math.min(...steps.filter((step) => step > SAME_EXPOSURE), 3);
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
  const misfit = hypot(misfitOf(leftovers), STEP_AMBIGUITY * power(closestStep(exposures), 3));
  const scaleError = exposureError / hypot(...centred(exposures));
  const points = Array.from(curve.stops, (stops, i) => {
    const slopes = zeroSlopes.map((slope, k) => (curve.slopes[i]?.[k] as number) - slope);
    const variance = slopes.reduce(
      (sum, slope, k) => sum + slope * dot(covariance[k]?.slice(0, knots) ?? [], slopes),
      0,
    );
    return {
      code: from + i,
      stops: stops - zero,
      uncertainty: hypot(Math.sqrt(Math.max(0, variance)), scaleError * (stops - zero), misfit),
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
      residual: hypot(offset + centre, spread),
      places: own.length,
    };
  });
  const uncertainty = Math.sqrt(
    points.reduce((sum, point) => sum + squared(point.uncertainty), 0) / points.length,
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
    squares += squared(sum) / weight;
    weights += weight;
  }
  return weights > 0 ? Math.sqrt(squares / weights) : 0;
}

function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, value, i) => sum + value * (b[i] as number), 0);
}
