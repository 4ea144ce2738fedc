import { ToneError } from "../errors.ts";
import { hypot, squared } from "../exact/exactMath.ts";
import { expectObject } from "../expectGiven.ts";
import { expectFinite, expectNotNegative, expectPositive } from "../expectNumber.ts";
import { renderedOfLight, sceneLight } from "./sceneLight.ts";

/** What is known of the camera and its processing, for a claim about the light in the scene. */
export type Kit =
  /** A rendered picture, nothing known of its tone curve. */
  | "unknown-jpeg"
  /** A rendered picture with a grey-card frame of the same camera and style. */
  | "card"
  /** Sensor values with middle grey at its default. */
  | "raw"
  /** Sensor values or a rendered picture through a measured response. */
  | "response";

/** Standard uncertainties of one kit, in stops. */
export interface ErrorBudget {
  /** Where middle grey sits. */
  readonly middleGrey: number;
  /** The tone curve, for every stop from middle grey. */
  readonly curvePerStop: number;
  /** The tone curve, whatever the distance. */
  readonly curve: number;
  /** Noise, spread and edges of the region: the least it is taken to be. */
  readonly region: number;
  /** Marked settings, when two frames are compared by them. */
  readonly settingsPair: number;
  /** Evenness of the card and the light on it. */
  readonly evenness: number;
}

/**
 * Standard uncertainties to start from, by kit. Our judgement, until measured.
 *
 * Of an unknown JPEG they hold for what its settings say and for two frames compared; how well its tones tell light is
 * derived, and stands in {@link sceneLight}.
 */
export const ERROR_BUDGET: Readonly<Record<Kit, ErrorBudget>> = {
  "unknown-jpeg": {
    middleGrey: 0.45,
    curvePerStop: 0,
    curve: 0,
    region: 0.05,
    settingsPair: 0.05,
    evenness: 0,
  },
  card: {
    middleGrey: 0.1,
    curvePerStop: 0.12,
    curve: 0,
    region: 0.05,
    settingsPair: 0.05,
    evenness: 0.12,
  },
  raw: {
    middleGrey: 0.3,
    curvePerStop: 0,
    curve: 0,
    region: 0.05,
    settingsPair: 0.05,
    evenness: 0,
  },
  response: {
    middleGrey: 0.1,
    curvePerStop: 0,
    curve: 0.05,
    region: 0.05,
    settingsPair: 0.05,
    evenness: 0.1,
  },
};

/** Where the figures of {@link ERROR_BUDGET} and {@link DEFAULT_TOLERANCE} come from. */
export const ERROR_BUDGET_PROVENANCE = "our judgement";

/**
 * How many rendered stops one scene stop becomes around the mid-tones of a camera's own rendering: the median of brackets by five
 * cameras, which lay between 1.13 and 1.48. [RENDERED-CONTRAST]
 */
export const RENDERED_CONTRAST = 1.3;

/** Standard uncertainty of a claim about the picture itself, in stops. Our judgement. */
export const RENDERED_MEASURING = 0.05;

/**
 * Standard uncertainty of a mean that was taken from every third pixel across and down, times the root of the region's
 * pixels, in stops. Measured: regions of 0.06 to 6 megapixels of 21 photographs at four exposures, by the benchmark's
 * part `accuracy`; two thirds of them lie well within.
 */
const QUICK_SAMPLING = 4;

/** Tolerance when a brief gives none, in stops: of a claim about the picture, or about the scene by kit. Our judgement. */
export const DEFAULT_TOLERANCE: Readonly<Record<"rendered" | Kit, number>> = {
  rendered: 1 / 3,
  "unknown-jpeg": 1,
  card: 1 / 2,
  raw: 1 / 2,
  response: 1 / 3,
};

/** What {@link errorUncertainty} adds up. */
export interface UncertaintyInput {
  /** What is known of the camera: the row of {@link ERROR_BUDGET} to start from. */
  readonly kit: Kit;
  /** Where the tone fell from middle grey, in scene stops. Of an unknown JPEG the side counts, of other kits it does not. */
  readonly stopsFromMiddle: number;
  /**
   * Measured uncertainty of the region's mean, in stops; never taken as less than the budget's least.
   * @defaultValue 0
   */
  readonly regionNoise?: number;
  /**
   * Whether marked settings of two frames enter the claim.
   * @defaultValue false
   */
  readonly comparesSettings?: boolean;
}

/** An uncertainty and what it is made of, all in stops. */
export interface Uncertainty {
  /** Root of the sum of squares of the parts. */
  readonly total: number;
  /** Standard uncertainties, independent of each other. */
  readonly parts: {
    /** From where middle grey sits. */
    readonly middleGrey: number;
    /** From the tone curve, at this distance from middle grey. */
    readonly curve: number;
    /** From the region's noise, spread and edges. */
    readonly region: number;
    /** From the marked settings of two frames; 0 where none are compared. */
    readonly settingsPair: number;
    /** From the card and the light on it; 0 where no card was used. */
    readonly evenness: number;
  };
}

/**
 * Standard uncertainty of a claim about the scene: by {@link ERROR_BUDGET}, or by {@link sceneLight} for an unknown JPEG.
 *
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN, infinities or negative noise, `TONE_UNKNOWN_NAME` for a kit that
 *   the budget does not have
 *
 * @example
 * ```ts
 * errorUncertainty({ kit: "raw", stopsFromMiddle: -2 }).total.toFixed(3); // => "0.304"
 * ```
 */
export function errorUncertainty(input: UncertaintyInput): Uncertainty {
  const {
    kit,
    stopsFromMiddle,
    regionNoise = 0,
    comparesSettings = false,
  } = expectObject("the uncertainty", input);
  if (!Object.hasOwn(ERROR_BUDGET, kit)) {
    throw new ToneError(
      "TONE_UNKNOWN_NAME",
      `Expected ${Object.keys(ERROR_BUDGET).join(", ")} for the kit but received "${kit}"`,
    );
  }
  const budget = ERROR_BUDGET[kit];
  const at = expectFinite("stops from middle grey", stopsFromMiddle);
  const parts = {
    ...(kit === "unknown-jpeg" ? guessedRendering(at) : measuredRendering(budget, Math.abs(at))),
    region: Math.max(budget.region, expectNotNegative("region noise", regionNoise)),
    settingsPair: comparesSettings ? budget.settingsPair : 0,
    evenness: budget.evenness,
  };
  return { total: expectFinite("uncertainty", hypot(...Object.values(parts))), parts };
}

function measuredRendering({ middleGrey, curve, curvePerStop }: ErrorBudget, distance: number) {
  return { middleGrey, curve: hypot(curve, curvePerStop * distance) };
}

/** What {@link sceneLight} knows less well than at middle grey comes from the curve. */
function guessedRendering(light: number) {
  // The knots were derived from regions with noise of their own, which counts as a part beside these.
  const { region } = ERROR_BUDGET["unknown-jpeg"];
  const atMiddle = squared(sceneLight(0).uncertainty);
  const here = squared(sceneLight(renderedOfLight(light)).uncertainty);
  return {
    middleGrey: Math.sqrt(atMiddle - squared(region)),
    curve: Math.sqrt(Math.max(0, here - atMiddle)),
  };
}

/**
 * Standard uncertainty of a claim about the picture itself: {@link RENDERED_MEASURING}, or the size of one code where
 * that is larger, in the shadows.
 *
 * @param codeQuantum - size of one code at the tone, in stops, 0 or more
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 *
 * @example
 * ```ts
 * renderedUncertainty(0.026); // => 0.05
 * renderedUncertainty(0.14); // => 0.14
 * ```
 */
export function renderedUncertainty(codeQuantum: number): number {
  return Math.max(RENDERED_MEASURING, expectNotNegative("code quantum", codeQuantum));
}

/**
 * Standard uncertainty that a mean gains when only every third pixel across and down is counted.
 *
 * @param pixels - of the region in the whole picture, more than 0
 * @returns stops
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 *
 * @example
 * ```ts
 * samplingUncertainty(1e6); // => 0.004
 * ```
 */
export function samplingUncertainty(pixels: number): number {
  return QUICK_SAMPLING / Math.sqrt(expectPositive("pixels", pixels));
}
