import { ToneError } from "../errors.ts";
import { expectText } from "../expectGiven.ts";
import { nearestWord } from "../text/nearestWord.ts";
import { shownText } from "../text/shownText.ts";
import { type ChartTone, TONE_CHART } from "./toneChart.ts";

/**
 * A tone of the chart by its name or another it goes by. Capitals, spaces for hyphens and "gray" for "grey" make no difference.
 *
 * @throws {@link ToneError} `TONE_UNKNOWN_NAME` when the chart has no such tone; the message names the nearest
 *
 * @example
 * ```ts
 * findTone("Dark coat").from; // => -3
 * ```
 */
export function findTone(name: string): ChartTone {
  expectText("the tone", name, "TONE_UNKNOWN_NAME");
  const wanted = normalise(name);
  const found = TONE_CHART.find((tone) => namesOf(tone).includes(wanted));
  if (found) return found;
  const nearest = nearestWord(wanted, TONE_CHART.flatMap(namesOf));
  // "white" is only part of a name, which may match several tones.
  const partly = TONE_CHART.filter((tone) =>
    namesOf(tone).some((known) => known.split("-").includes(wanted)),
  );
  const likely = nearest === null ? partly.map((tone) => tone.name) : [nearest];
  const help =
    likely.length > 0
      ? `did you mean ${either(likely)}?`
      : `it has ${TONE_CHART.map((tone) => tone.name).join(", ")}`;
  throw new ToneError(
    "TONE_UNKNOWN_NAME",
    `Expected a tone of the chart but received "${shownText(name)}"; ${help}`,
  );
}

function either(names: readonly string[]): string {
  const quoted = names.map((name) => `"${name}"`);
  return [quoted.slice(0, -1).join(", "), ...quoted.slice(-1)].filter(Boolean).join(" or ");
}

function normalise(name: string): string {
  return name
    .trim()
    .toLowerCase()
    .replace(/[\s_-]+/g, "-")
    .replace(/gray/g, "grey");
}

function namesOf(tone: ChartTone): readonly string[] {
  return [tone.name, ...tone.aliases];
}
