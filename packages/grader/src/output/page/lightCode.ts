import type { ToSrgb } from "@tonefall/tone-core";
import { exp2, log2 } from "@tonefall/tone-core";

/** Codes to a stop: steps far below what an average over a spot can show. */
const CODES_PER_STOP = 64;

/** Light below this many stops from full scale is code 0, which stands for none. */
const DARKEST_STOPS = -20;

/** Codes above this would be light three stops beyond full scale, more than white balance lifts a channel. */
const LAST_CODE: number = CODES_PER_STOP * (3 - DARKEST_STOPS) + 1;

/**
 * Linear light as a whole number, in equal steps of a stop.
 *
 * @param light - relative to full scale; 0 and what is darker than 20 stops below it become 0
 * @returns 0..1473
 */
export function lightCode(light: number): number {
  if (!(light > 0)) return 0;
  const code = Math.round(CODES_PER_STOP * (log2(light) - DARKEST_STOPS)) + 1;
  return Math.min(LAST_CODE, Math.max(0, code));
}

/** The light that a code stands for; the inverse of {@link lightCode} within half a step. */
export function lightOfCode(code: number): number {
  if (code <= 0) return 0;
  return exp2((Math.min(code, LAST_CODE) - 1) / CODES_PER_STOP + DARKEST_STOPS);
}

/** The light of a frame as it travels in a page: small, linear, upright. */
export interface LightProxy {
  readonly width: number;
  readonly height: number;
  /** Share of luminance of each plane of light; sums to 1. */
  readonly weights: readonly number[];
  /**
   * What another exposure is drawn from: the card's picture, whose codes tell its light, or this light where the picture
   * is drawn from it or a kit tells what light its codes stand for. In the first case there is one plane, luminance.
   */
  readonly drawnFrom: "picture" | "light";
  /** What red, green and blue become in linear sRGB, to draw by; null where they are drawn as they are. */
  readonly toSrgb: ToSrgb | null;
  /**
   * Light behind codes 0 to 255, shares of full scale, where a measured kit told it: what is exposed otherwise is encoded
   * by it again. Null where the light is the picture's own.
   */
  readonly kitCurve: readonly number[] | null;
  /** Relative luminance of middle grey on the frame's scale. */
  readonly middleGrey: number;
  /** Nothing is told darker than this, stops from middle grey. */
  readonly floorStops: number;
  /** Whether the row's stops are of light, guessed from a rendering, and not the picture's own. */
  readonly sceneGuessed: boolean;
  /**
   * Planes one after the other, deflated, in base64: each plane of light as the low and then the high bytes of its
   * codes' differences (from the left; in the first column from above; the sign in the lowest bit), then the clipped
   * and the black share of every cell in 255ths.
   */
  readonly data: string;
}
