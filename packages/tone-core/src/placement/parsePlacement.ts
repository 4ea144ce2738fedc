import { findTone } from "../chart/findTone.ts";
import type { ChartTone } from "../chart/toneChart.ts";
import { ToneError } from "../errors.ts";
import { stopsFromZone, zoneFromName } from "../scale/zone.ts";
import { parseStops } from "../stops/parseStops.ts";
import { stopsBetween } from "../stops/stopsBetween.ts";
import { shownText } from "../text/shownText.ts";

/** Where a tone is meant to land: from one number of stops to another, from middle grey. */
export interface StopRange {
  /** Lower end, stops from middle grey. */
  readonly from: number;
  /** Upper end, stops from middle grey; equal to `from` for a single value. */
  readonly to: number;
}

/** A placement, and the text that asked for it. */
export interface Placement extends StopRange {
  /** As it was given, or as it would be written. */
  readonly text: string;
  /** The form it was given in. */
  readonly source: "stops" | "range" | "reflectance" | "zone" | "tone";
  /** The tone of the chart it named, or null. */
  readonly tone: ChartTone | null;
}

const ACCEPTED =
  'a tone of the chart (snow), stops from middle grey (-2, "+1 2/3"), a range (1.5..2.3), a reflectance (36%) or a zone (VI)';

/** No tone is further from middle grey; a larger number is a slip, such as 36 for 36%. */
const FURTHEST_STOPS = 10;

/**
 * A placement from what a brief says.
 *
 * Text may be a tone of the chart (`snow`), stops (`-2`, `+1 2/3`), a reflectance (`36%`), a zone (`VI`, `zone 6`; a
 * single value, its centre), or a range of two stops, reflectances or zones (`1.5..2.3`, `30%..40%`), in either order.
 * `0` is middle grey; Zone 0 is written `zone 0`. A placement above what a rendering can show is parsed all the same.
 *
 * @param input - text, a number of stops, or a range of stops
 * @throws {@link ToneError} `TONE_BAD_PLACEMENT` when it is none of these or further than 10 stops from middle grey,
 *   `TONE_UNKNOWN_NAME` when it is a word that the chart does not have
 *
 * @example
 * ```ts
 * parsePlacement("1.5..2.3"); // => { from: 1.5, to: 2.3, text: "1.5..2.3", source: "range", tone: null }
 * parsePlacement("36%").from; // => 1
 * parsePlacement("VI").from; // => 1
 * parsePlacement("Fresh snow").tone?.name; // => "snow"
 * ```
 */
export function parsePlacement(input: string | number | StopRange): Placement {
  if (typeof input === "number") {
    return placement(stopsText(input), "stops", [input, input]);
  }
  if (typeof input === "object" && input !== null) {
    const { from, to } = input;
    return placement(`${from}..${to}`, "range", [from, to]);
  }
  if (typeof input !== "string") throw badPlacement(String(input));
  const text = input.trim();
  const [first = "", second, more] = text.split("..", 3);
  const from = parseLevel(first);
  if (second === undefined && from) return placement(text, from.kind, [from.stops, from.stops]);
  if (second !== undefined) {
    const to = parseLevel(second);
    if (!from || !to || from.kind !== to.kind || more !== undefined) throw badPlacement(text);
    return placement(text, from.kind === "stops" ? "range" : from.kind, [from.stops, to.stops]);
  }
  // Words are looked up; anything that starts like a number or a zone was meant as one.
  if (!/^(?!zone\b)\p{L}/iu.test(text)) throw badPlacement(text);
  const tone = findTone(text);
  return placement(text, "tone", [tone.from, tone.to], tone);
}

interface Level {
  readonly kind: "stops" | "reflectance" | "zone";
  readonly stops: number;
}

/** One level given in stops, as a reflectance or as a zone; null for any other text. */
function parseLevel(text: string): Level | null {
  const percent = /^\s*(\d+(?:\.\d+)?|\.\d+)\s*%\s*$/.exec(text)?.[1];
  if (percent !== undefined) {
    const reflectance = Number(percent) / 100;
    return reflectance > 0 ? { kind: "reflectance", stops: stopsBetween(reflectance) } : null;
  }
  const numbered = /^\s*zone\s+(\d+)\s*$/i.exec(text)?.[1];
  const zone = numbered === undefined ? zoneOf(text) : Number(numbered);
  if (zone !== null) return zone <= 10 ? { kind: "zone", stops: stopsFromZone(zone) } : null;
  try {
    return { kind: "stops", stops: parseStops(text) };
  } catch (error) {
    if (error instanceof ToneError) return null;
    throw error;
  }
}

/** A zone by its numeral. A bare 0 is not one: it means middle grey. */
function zoneOf(text: string): number | null {
  const numeral = text.trim().replace(/^zone\s+/i, "");
  return numeral === "0" ? null : zoneFromName(numeral);
}

function placement(
  text: string,
  source: Placement["source"],
  [a, b]: readonly [number, number],
  tone: ChartTone | null = null,
): Placement {
  if (!isNear(a) || !isNear(b)) throw badPlacement(text);
  return { from: Math.min(a, b), to: Math.max(a, b), text, source, tone };
}

/** Whether stops are a number and no slip; what a file holds may be anything. */
function isNear(stops: number): boolean {
  return typeof stops === "number" && Math.abs(stops) <= FURTHEST_STOPS;
}

function stopsText(stops: number): string {
  return stops > 0 ? `+${stops}` : String(stops);
}

function badPlacement(received: string): ToneError {
  return new ToneError(
    "TONE_BAD_PLACEMENT",
    `Expected ${ACCEPTED}, at most ${FURTHEST_STOPS} stops from middle grey, for the placement but received "${shownText(String(received))}"`,
  );
}
