import { type Point, parseStops, shownText, ToneError } from "@tonefall/tone-core";
import { GraderError } from "../model/errors.ts";
import type { ExposureAsked } from "./exposure.ts";
import type { LessonEntry } from "./lessonSchema.ts";
import { bracketOf, bracketOffsets, equivalentsOf, fNumbers, patternsOf } from "./series.ts";
import { spokenStops } from "./spokenStops.ts";

/** A frame of a lesson before it has a place. */
export interface LessonFrame {
  /** Name of the file, without its ending. */
  readonly name: string;
  readonly asked: ExposureAsked;
  /** A sentence for people; null where the author gave none. */
  readonly caption: string | null;
  /** Regions by name; those that the exposure places are added. */
  readonly regions: Readonly<Record<string, string>>;
  /** Where its subject belongs; null where that is not said. */
  readonly belongs: string | null;
}

/** The frames that one entry asks for. */
export interface LessonSeries {
  /** What the frames are together; null for a single frame, and for patterns. */
  readonly kind: "bracket" | "equivalent" | null;
  readonly frames: readonly LessonFrame[];
}

/** The ways to ask for an exposure, of which an entry has one. */
const WAYS = ["as-metered", "place", "by", "patterns"] as const;

/**
 * The frames that an entry asks for: one, or a series.
 *
 * @throws {@link GraderError} `bad-option` where the entry asks for nothing, for two things, or in numbers that are none
 */
export function framesOfEntry(entry: LessonEntry): LessonSeries {
  const base = exposureOf(entry);
  const { bracket, equivalent } = entry;
  const said = [entry.patterns, bracket, equivalent].filter((part) => part !== undefined);
  if (said.length > 1) {
    throw new GraderError(
      "bad-option",
      "Expected one series but received several; give bracket, patterns or equivalent in a run or an entry of its own",
    );
  }
  const only = base[0] as ExposureAsked;
  if (bracket !== undefined) {
    return { kind: "bracket", frames: named(bracketOf(only, bracketOffsets(bracket)), entry) };
  }
  if (equivalent !== undefined) {
    return { kind: "equivalent", frames: named(equivalentsOf(only, fNumbers(equivalent)), entry) };
  }
  return { kind: null, frames: named(base, entry) };
}

function exposureOf(entry: LessonEntry): readonly ExposureAsked[] {
  const ways = WAYS.filter((way) => entry[way] !== undefined);
  const series = entry.bracket !== undefined || entry.equivalent !== undefined;
  if (ways.length > 1 || (ways.length === 0 && !series)) {
    throw new GraderError(
      "bad-option",
      ways.length === 0
        ? `Expected an exposure but received none; give one of ${WAYS.join(", ")}, bracket, equivalent`
        : `Expected one exposure but received ${ways.join(" and ")}; give one of them`,
    );
  }
  requireMeter(entry, ways[0]);
  const { region, place } = entry;
  const spot = entry.spot === undefined ? {} : { spot: pointOf(entry.spot) };
  const size = entry["spot-size"] === undefined ? {} : { spotShare: entry["spot-size"] };
  const meter = {
    ...(entry.compensation === undefined ? {} : { compensation: stopsOf(entry.compensation) }),
    ...spot,
    ...size,
  };
  switch (ways[0]) {
    case "as-metered":
      return [
        { asMetered: entry["as-metered"] as NonNullable<(typeof entry)["as-metered"]>, ...meter },
      ];
    case "patterns":
      return patternsOf(meter);
    case "place":
      return [{ place: place as string | number, ...(region === undefined ? {} : { region }) }];
    default:
      return [{ by: entry.by === undefined ? 0 : stopsOf(entry.by) }];
  }
}

/** Compensation and spot are a meter's: without one they would be ignored. */
function requireMeter(entry: LessonEntry, way: string | undefined): void {
  if (way === "as-metered" || way === "patterns") return;
  const lost = (["compensation", "spot", "spot-size"] as const).find(
    (key) => entry[key] !== undefined,
  );
  if (lost === undefined) return;
  throw new GraderError(
    "bad-option",
    `Expected as-metered or patterns beside ${lost}, which concerns the meter; add one, or leave ${lost} out`,
  );
}

function named(asked: readonly ExposureAsked[], entry: LessonEntry): readonly LessonFrame[] {
  const { name, caption = null, region, regions = {}, belongs, place } = entry;
  const subject = regions["subject"] ?? region ?? (place === undefined ? undefined : "whole");
  return asked.map((one) => ({
    name: asked.length === 1 && name !== undefined ? name : nameOf(one, name),
    asked: one,
    caption,
    regions: subject === undefined ? regions : { subject, ...regions },
    belongs: belongs === undefined ? null : String(belongs),
  }));
}

/** A file's name from its exposure: `as-metered-spot-minus-2`, `hull-plus-1`. */
function nameOf(asked: ExposureAsked, base: string | undefined): string {
  const { bracket, aperture } = asked;
  const own =
    "asMetered" in asked ? ["as-metered", asked.asMetered, stopsName(asked.compensation)] : [];
  const placed = "place" in asked ? ["placed", String(asked.place)] : [];
  const by = "by" in asked ? [asked.by === 0 ? "as-captured" : `by-${stopsName(asked.by)}`] : [];
  const how = [...own, ...placed, ...by];
  // What is added to the name sets the frames of a series apart.
  const series = bracket !== undefined ? "bracket" : aperture !== undefined ? "same" : null;
  const start = series === null ? [base, ...how] : [base ?? series];
  const added = [
    bracket === undefined ? "" : bracket === 0 ? "middle" : stopsName(bracket),
    aperture === undefined ? "" : `f${aperture}`,
  ];
  return wordsOf(
    [...start, ...added].filter((part) => part !== undefined && part !== "").join("-"),
  );
}

function stopsName(stops = 0): string {
  if (stops === 0) return "";
  const size = spokenStops(Math.abs(stops)).slice(1).replace(" ", "-").replace("/", "of");
  return `${stops > 0 ? "plus" : "minus"}-${size}`;
}

/** Letters, digits and hyphens of a text. */
function wordsOf(text: string): string {
  const words = text.replace(/[^\p{L}\p{N}.]+/gu, "-").replace(/^[-.]+/, "");
  return words.slice(0, LONGEST_NAME).replace(/[-.]$/, "") || "frame";
}

const LONGEST_NAME = 80;

/**
 * Stops as they are typed.
 *
 * @throws {@link GraderError} `bad-option`
 */
function stopsOf(stops: number | string): number {
  if (typeof stops === "number") return stops;
  try {
    return parseStops(stops);
  } catch (error) {
    if (error instanceof ToneError)
      throw new GraderError("bad-option", error.message, { cause: error });
    throw error;
  }
}

function pointOf(text: string): Point {
  const [x = Number.NaN, y = Number.NaN, ...more] = text
    .split(",")
    .map((part) => (part.trim() === "" ? Number.NaN : Number(part)));
  if (more.length === 0 && [x, y].every((place) => place >= 0 && place <= 1)) return { x, y };
  throw new GraderError(
    "bad-option",
    `Expected two fractions from 0 to 1 such as 0.3,0.6 for the spot but received "${shownText(text)}"`,
  );
}
