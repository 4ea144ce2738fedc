import {
  exp2,
  log2,
  MIDDLE_GREY,
  naturalLog,
  power,
  powersOf,
  RENDERED_CONTRAST,
  renderedOfLight,
  sceneLight,
  squared,
} from "@tonefall/tone-core";
import { showsLight } from "../grade/showsLight.ts";
import type { CauseRow } from "./causeFacts.ts";

/** What of a row tells how its stops came about. */
export type RenderedRow = Pick<CauseRow, "basis" | "picture" | "kit">;

/** One way in which a picture may show light; stops from middle grey on both sides. */
export interface RenderedCurve {
  /** Stops of the picture to a stop of light at middle grey. */
  readonly contrast: number;
  /** Light that is shown white, stops; Infinity for a curve that is straight in stops. */
  readonly white: number;
  /** By how much of itself the contrast grows with every stop below middle grey; less than 0 where shadows are lifted. */
  readonly toe: number;
  /** What an 18 % reflector is shown as, stops. */
  readonly middleGrey: number;
  /** How likely the curve is before anything is seen of the frame; sums to 1 over all curves. */
  readonly weight: number;
}

/** Display white, stops above middle grey. */
const DISPLAY_WHITE: number = -log2(MIDDLE_GREY);

/**
 * What renderings do, as far as is known before a frame is seen. Brackets by five cameras showed a stop as 1.13 to 1.48
 * around the mid-tones [RENDERED-CONTRAST]; five are few, so the range is drawn wider. Where white and middle grey lie is
 * our judgement.
 */
const CONTRASTS: readonly number[] = spread(1, 1.8, 9);
const CONTRAST_SPREAD = 0.17;
/** Contrasts this near to the usual one are usual themselves. */
const USUAL_CONTRAST = 0.15;
const WHITES: readonly number[] = [2.5, 3, 3.5];
const TOES: readonly number[] = [-0.05, 0.05, 0.15];
const MIDDLE_GREYS: readonly number[] = spread(-2, 2, 33);
const MIDDLE_GREY_SPREAD = 0.22;
/** Some pictures were made lighter or darker as a whole by a helper or an edit: this share of all, and by how much. */
const TONED_SHARE = 0.1;
const TONED_SPREAD = 1;
/** On a sensor and on a measured curve only middle grey is uncertain. */
const PLAIN_SPREAD = 0.15;

function renderedCurves(): readonly RenderedCurve[] {
  return weighed(
    CONTRASTS.flatMap((contrast) =>
      WHITES.flatMap((white) =>
        TOES.flatMap((toe) =>
          MIDDLE_GREYS.map((middleGrey) => ({
            contrast,
            white,
            toe,
            middleGrey,
            weight:
              bell(naturalLog(contrast / RENDERED_CONTRAST), CONTRAST_SPREAD) *
              middleGreyWeight(middleGrey),
          })),
        ),
      ),
    ),
  );
}

function plainCurves(): readonly RenderedCurve[] {
  return weighed(
    MIDDLE_GREYS.map((middleGrey) => ({
      contrast: 1,
      white: Number.POSITIVE_INFINITY,
      toe: 0,
      middleGrey,
      weight: bell(middleGrey, PLAIN_SPREAD),
    })),
  );
}

/** Made with the first row that asks why it missed: they are thousands. */
let rendered: readonly RenderedCurve[] | undefined;
let plain: readonly RenderedCurve[] | undefined;

/** Whether a row's stops are stops of light, and only where middle grey lies is uncertain. */
export function isLight(row: RenderedRow): boolean {
  return row.basis === "settings" || showsLight(row);
}

/** The curves that a row's stops may have come through. */
export function curvesOf(row: RenderedRow): readonly RenderedCurve[] {
  if (isLight(row)) {
    plain ??= plainCurves();
    return plain;
  }
  rendered ??= renderedCurves();
  return rendered;
}

/**
 * The light behind a shown tone.
 *
 * Above middle grey a curve bends until it is level at white; below it grows steeper, or less steep, from stop to stop.
 *
 * @param shown - stops of the picture
 * @param belowWhite - kept by whoever asks for many curves: the powers that this tone needs
 */
export function lightBehind(
  { contrast, white, toe, middleGrey }: RenderedCurve,
  shown: number,
  belowWhite: (exponent: number) => number = powersBelowWhite(shown - middleGrey),
): number {
  const stops = shown - middleGrey;
  if (white === Number.POSITIVE_INFINITY) return stops / contrast;
  if (stops <= 0) {
    // contrast · u · (1 + toe · u) = -stops, u stops of light below middle grey
    return (1 - Math.sqrt(Math.max(0, 1 - (4 * toe * stops) / contrast))) / (2 * toe);
  }
  const bend = (contrast * white) / DISPLAY_WHITE;
  return white * (1 - belowWhite(1 / bend));
}

/**
 * What light is shown as: the inverse of {@link lightBehind}.
 *
 * @param light - stops of light
 * @returns stops of the picture
 */
export function shownOf(
  { contrast, white, toe, middleGrey }: RenderedCurve,
  light: number,
): number {
  if (white === Number.POSITIVE_INFINITY) return contrast * light + middleGrey;
  if (light <= 0) {
    // Lifted shadows are level from here down.
    const below = Math.min(-light, toe < 0 ? -1 / (2 * toe) : Number.POSITIVE_INFINITY);
    return middleGrey - contrast * below * (1 + toe * below);
  }
  const bend = (contrast * white) / DISPLAY_WHITE;
  return middleGrey + DISPLAY_WHITE * (1 - power(Math.max(0, 1 - light / white), bend));
}

/** Powers of how far a tone lies below white, 0 at white and 1 at middle grey. */
function powersBelowWhite(stops: number): (exponent: number) => number {
  return powersOf(Math.max(0, 1 - stops / DISPLAY_WHITE));
}

/** The light behind a shown tone by each of {@link curvesOf}, stops; `shown` as the row has it. */
export function lightsBehind(row: RenderedRow, shown: number): Float64Array {
  const stops = shownStops(row, shown);
  const curves = curvesOf(row);
  const belowWhite = MIDDLE_GREYS.map((middleGrey) => powersBelowWhite(stops - middleGrey));
  const lights = new Float64Array(curves.length);
  curves.forEach((curve, i) => {
    // Above middle grey toes make no difference, so the curve with the toe before has found it.
    const found =
      stops > curve.middleGrey && curve.toe !== TOES[0] && lights[i - belowWhite.length];
    lights[i] = found || lightBehind(curve, stops, belowWhite[i % belowWhite.length]);
  });
  return lights;
}

/** Those of a row's curves that most cameras have, each with its middle grey at 0. */
function usualCurvesOf(row: RenderedRow): readonly RenderedCurve[] {
  return curvesOf(row).filter(
    ({ contrast, white, middleGrey }) =>
      middleGrey === 0 &&
      (white === Number.POSITIVE_INFINITY ||
        Math.abs(contrast - RENDERED_CONTRAST) < USUAL_CONTRAST),
  );
}

/**
 * How far the light behind a shown tone lies beyond another light.
 *
 * @param shown - stops on the row's basis
 * @param light - stops of light
 * @returns 0 where some usual curve explains it, wherever it puts middle grey
 */
export function lightBeyond(row: RenderedRow, shown: number, light: number): number {
  const stops = shownStops(row, shown);
  const behind = usualCurvesOf(row).map((curve) => lightBehind(curve, stops));
  const [least, most] = [Math.min(...behind), Math.max(...behind)];
  if (light < least) return least - light;
  return light > most ? most - light : 0;
}

/** The light that a shown tone most likely stands for, stops. */
export function likelyLight(row: RenderedRow, shown: number): number {
  const lights = lightsBehind(row, shown);
  return curvesOf(row).reduce((sum, { weight }, i) => sum + weight * (lights[i] as number), 0);
}

/** Stops of a row as stops of its picture: on the scene basis `sceneLight` estimated them from those. */
export function shownStops(row: RenderedRow, stops: number): number {
  return isEstimated(row) ? renderedOfLight(stops) : stops;
}

/** Stops of a picture as stops of a row: the inverse of {@link shownStops}. */
export function rowStops(row: RenderedRow, shown: number): number {
  return isEstimated(row) ? sceneLight(shown).stops : shown;
}

function isEstimated(row: RenderedRow): boolean {
  return row.basis === "scene" && !showsLight(row);
}

/** A bell curve's height, 1 at its middle. */
export function bell(from: number, standardDeviation: number): number {
  return exp2(-0.5 * Math.LOG2E * squared(from / standardDeviation));
}

function middleGreyWeight(middleGrey: number): number {
  return (
    ((1 - TONED_SHARE) * bell(middleGrey, MIDDLE_GREY_SPREAD)) / MIDDLE_GREY_SPREAD +
    (TONED_SHARE * bell(middleGrey, TONED_SPREAD)) / TONED_SPREAD
  );
}

function spread(from: number, to: number, count: number): number[] {
  return Array.from({ length: count }, (_, i) => from + ((to - from) * i) / (count - 1));
}

function weighed(curves: readonly RenderedCurve[]): readonly RenderedCurve[] {
  const total = curves.reduce((sum, { weight }) => sum + weight, 0);
  return curves.map((curve) => ({ ...curve, weight: curve.weight / total }));
}
