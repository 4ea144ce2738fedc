import { parseStops, shownText, ToneError } from "@tonefall/tone-core";
import { SIMULATED_PATTERNS } from "../judge/metering/readPattern.ts";
import { GraderError } from "../model/errors.ts";
import { countText } from "../model/words.ts";
import type { ExposureAsked, MeteredExposure } from "./exposure.ts";

/** Frames of one series are shown side by side: more than this are a slip of the keyboard. */
const MOST_FRAMES = 31;

/** Steps closer to a whole count than this end on the last stop. */
const SAME = 1e-6;

/**
 * Offsets of a bracket, stops, from a text such as `-2..+2 by 1`; + is lighter. The step is a stop where none is named.
 *
 * @returns from the darkest to the lightest
 * @throws {@link GraderError} `bad-option` for any other text, or a bracket of fewer than 2 or more than 31 frames
 *
 * @example
 * ```ts
 * bracketOffsets("-1..+1 by 1/3").length; // => 7
 * ```
 */
export function bracketOffsets(text: string): readonly number[] {
  const [range = "", step = "1", ...more] = text.split(" by ");
  const [from = "", to = "", ...others] = range.split("..");
  const expected = `Expected a bracket such as "-2..+2 by 1" but received "${shownText(text)}"`;
  const ends = [from, to, step].map((part) => stopsOrNull(part));
  const [first, last, by] = ends as [number | null, number | null, number | null];
  const isRange = more.length === 0 && others.length === 0;
  if (!isRange || first === null || last === null || by === null || by <= 0) {
    throw new GraderError("bad-option", expected);
  }
  const [low, high] = [Math.min(first, last), Math.max(first, last)];
  const count = Math.floor((high - low) / by + SAME) + 1;
  if (count < 2 || count > MOST_FRAMES) {
    throw new GraderError(
      "bad-option",
      `${expected}, which has ${countText(count, "frame")}; a bracket has 2 to ${MOST_FRAMES}`,
    );
  }
  return Array.from({ length: count }, (_, i) => low + i * by);
}

function stopsOrNull(text: string): number | null {
  try {
    return parseStops(text);
  } catch (error) {
    if (error instanceof ToneError) return null;
    throw error;
  }
}

/** The frames of a bracket around an exposure. */
export function bracketOf(asked: ExposureAsked, offsets: readonly number[]): ExposureAsked[] {
  return offsets.map((bracket) => ({ ...asked, bracket }));
}

/** The scene as each metering pattern exposes it. */
export function patternsOf(settings: Omit<MeteredExposure, "asMetered">): ExposureAsked[] {
  return SIMULATED_PATTERNS.map((asMetered) => ({ ...settings, asMetered }));
}

/**
 * f-numbers from a text such as `f4,f8,f11`.
 *
 * @throws {@link GraderError} `bad-option`
 */
export function fNumbers(text: string): readonly number[] {
  const numbers = text.split(",").map((part) => Number(part.trim().replace(/^f\/?/i, "")));
  const fit = numbers.every((number) => number >= 0.5 && number <= 128);
  if (fit && numbers.length >= 2 && new Set(numbers).size === numbers.length) return numbers;
  throw new GraderError(
    "bad-option",
    `Expected two or more different f-numbers such as f4,f8,f11 but received "${shownText(text)}"`,
  );
}

/** One exposure under several f-numbers. */
export function equivalentsOf(asked: ExposureAsked, numbers: readonly number[]): ExposureAsked[] {
  return numbers.map((aperture) => ({ ...asked, aperture }));
}
