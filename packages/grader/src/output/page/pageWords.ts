import { type Bound, speakStops } from "@tonefall/tone-core";
import { type DecidedError, decidedError } from "../../model/decidedError.ts";
import { boundedStopsText, placementText, stopsText } from "../../model/words.ts";

/**
 * Words as a page sets them: real minus signs, and sizes in stops that no line breaks.
 *
 * @example
 * ```ts
 * typeset("-1 2/3 stops"); // => "−1 2/3 stops", held together by no-break spaces
 * ```
 */
export function typeset(text: string): string {
  return text
    .replace(/(^|[\s(])-(?=\d)/g, "$1−")
    .replaceAll("towards - ", "towards\u00a0− ")
    .replaceAll("towards + ", "towards\u00a0+ ")
    .replace(/([≥≤±]) (?=[+−\d])/g, "$1\u00a0")
    .replace(/(\d) (?=\d\/\d)/g, "$1\u00a0")
    .replace(/(\d) (?=stops?\b)/g, "$1\u00a0");
}

/** Stops as a figure of a page: `+0.33`, `−1.87`. */
export function figure(stops: number): string {
  return typeset(stopsText(stops));
}

/** Stops that may be censored, as a figure of a page: `≥ +1.94`. */
export function boundedFigure(stops: {
  readonly stops: number;
  readonly bound: Bound | null;
}): string {
  return typeset(boundedStopsText(stops));
}

/** A range of stops as a page sets it: `−2 to −1.5`. An open end is infinite. */
export function rangeFigure({ from, to }: { readonly from: number; readonly to: number }): string {
  if (to === Number.POSITIVE_INFINITY) return `at least ${figure(from)}`;
  if (from === Number.NEGATIVE_INFINITY) return `at most ${figure(to)}`;
  return typeset(placementText({ from, to }));
}

/** The figure that an error's verdict rests on, as a page sets it. */
export function errorFigure(error: DecidedError): string {
  return boundedFigure(decidedError(error));
}

/** The size of stops in words, rounded to thirds: `1 2/3 stops`; null for less than a sixth. */
export function sizeWords(stops: number): string | null {
  return Math.abs(stops) < 1 / 6 ? null : typeset(speakStops(Math.abs(stops)));
}
