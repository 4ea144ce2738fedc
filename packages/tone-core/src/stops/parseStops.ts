import { ToneError } from "../errors.ts";
import { expectText } from "../expectGiven.ts";
import { shownText } from "../text/shownText.ts";

const MINUS_SIGNS = /[\u2212\u2013]/g;
const FORM =
  /^(?<sign>[+-])?\s*(?:(?<decimal>\d+(?:\.\d+)?|\.\d+)|(?:(?<whole>\d+)\s+)?(?<over>\d+)\s*\/\s*(?<under>\d+))(?:\s*stops?)?$/;

/**
 * Stops from the text a photographer types: `-2`, `+1 2/3`, `-5/3`, `1.5`, `1/3`. A typographic minus counts as one.
 *
 * @throws {@link ToneError} `TONE_BAD_STOPS` when the text is not a number of stops
 *
 * @example
 * ```ts
 * parseStops("-1 1/2"); // => -1.5
 * parseStops("+2 stops"); // => 2
 * ```
 */
export function parseStops(text: string): number {
  expectText("the stops", text, "TONE_BAD_STOPS");
  const groups = FORM.exec(text.trim().replace(MINUS_SIGNS, "-"))?.groups;
  const { sign, decimal, whole, over, under } = groups ?? {};
  const size =
    decimal === undefined
      ? (Number(whole ?? 0) * Number(under) + Number(over)) / Number(under)
      : Number(decimal);
  if (!groups || !Number.isFinite(size)) {
    throw new ToneError(
      "TONE_BAD_STOPS",
      `Expected stops such as -2, "+1 2/3" or 1.5 but received "${shownText(text)}"`,
    );
  }
  return sign === "-" && size !== 0 ? -size : size;
}
