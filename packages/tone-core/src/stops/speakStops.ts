import { expectObject } from "../expectGiven.ts";
import { expectFinite } from "../expectNumber.ts";

/** How {@link speakStops} words a difference. */
export interface SpeakOptions {
  /**
   * Lead with `+` or `-`. Without it the direction is left to the words around.
   * @defaultValue false
   */
  readonly sign?: boolean;
}

/**
 * Stops rounded to the nearest third, the steps that cameras are set in.
 *
 * @returns a multiple of 1/3; never -0
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN, infinities, and what has no finite number of thirds
 *
 * @example
 * ```ts
 * roundToThirds(2.3); // => 2.3333333333333335
 * ```
 */
export function roundToThirds(stops: number): number {
  return countThirds(stops) / 3;
}

/**
 * A difference in stops as a photographer says it: thirds, rounded.
 *
 * @returns such as `1/3 stop`, `1 stop`, `1 2/3 stops`, or `no difference` when it rounds to none
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN, infinities, and what has no finite number of thirds
 *
 * @example
 * ```ts
 * speakStops(-1.7); // => "1 2/3 stops"
 * speakStops(-1.7, { sign: true }); // => "-1 2/3 stops"
 * speakStops(0.1); // => "no difference"
 * ```
 */
export function speakStops(stops: number, options: SpeakOptions = {}): string {
  const { sign = false } = expectObject("the options", options);
  const signed = countThirds(stops);
  if (signed === 0) return "no difference";
  const thirds = Math.abs(signed);
  const whole = Math.floor(thirds / 3);
  const part = thirds % 3;
  const size = [whole || "", part ? `${part}/3` : ""].filter(Boolean).join(" ");
  const mark = sign ? (signed > 0 ? "+" : "-") : "";
  return `${mark}${size} ${thirds > 3 ? "stops" : "stop"}`;
}

/** Rounds halves away from zero, so that over and under are treated alike. */
function countThirds(stops: number): number {
  const thirds = expectFinite(
    "thirds of a stop",
    Math.round(Math.abs(expectFinite("stops", stops)) * 3),
  );
  return thirds === 0 ? 0 : Math.sign(stops) * thirds;
}
