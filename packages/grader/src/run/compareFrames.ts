import { ERROR_BUDGET, hypot, RENDERED_CONTRAST, RENDERED_MEASURING } from "@tonefall/tone-core";
import { mayBeOneSeries } from "../judge/grade/oneSeries.ts";
import { isComposite } from "../judge/grade/settingsFall.ts";
import { showsLight } from "../judge/grade/showsLight.ts";
import { boundedDifference } from "../judge/metering/boundedStops.ts";
import type { BoundedStops } from "../model/metering.ts";
import type { Note, NoteCode } from "../model/note.ts";
import type { Basis, FrameResult } from "../model/result.ts";

/** Something unknown of each frame alone but the same in both, which a difference cancels. */
export type CancelledUnknown = "kit" | "middle-grey";

/** Two frames side by side; every difference is the second minus the first. */
export interface FrameComparison {
  /** The basis that both falls are on; null where they are on two. */
  readonly basis: Basis | null;
  /** How much more light the settings of the second let in, stops; null where a setting is missing. */
  readonly givenExposureStops: number | null;
  /** How much lighter the second fell, on the basis; null where the falls cannot be compared. */
  readonly fallStops: BoundedStops | null;
  /** The difference in fall that the settings predict if the subject's light did not change, stops. */
  readonly expectedFallStops: number | null;
  /** One standard deviation of the expectation against the fall, stops. */
  readonly uncertainty: number | null;
  /** What the uncertainty is made of, stops, one standard deviation each. */
  readonly uncertaintyParts: Readonly<Record<string, number>>;
  /**
   * Whether fall and settings agree, within two standard deviations; null where nobody can tell, as for
   * frames of two folders or taken more than ten minutes apart. `false`
   * says that something else changed (the light, flash, a filter, an edit), but not what, nor who changed it.
   */
  readonly agree: boolean | null;
  /** Unknowns that both frames share. */
  readonly cancelled: readonly CancelledUnknown[];
  /** What a reader of the comparison should know. */
  readonly notes: readonly Note[];
}

/**
 * How far renderings stray from {@link RENDERED_CONTRAST}, as one standard deviation: half of the way from 1.13 to 1.48,
 * the least and the most of five cameras [RENDERED-CONTRAST]. Five are few, so the whole range counts as one deviation
 * either way, not as a limit.
 */
const RENDERED_CONTRAST_SPREAD: number = (1.48 - 1.13) / 2;

/** Standard deviations within which fall and settings agree. */
const AGREEMENT_DEVIATIONS = 2;

/** Rendered this far above middle grey, a tone is on the shoulder, where a stop of light shows as less than one. */
const SHOULDER_STOPS = 1.5;

/**
 * Compares two graded frames of one subject: how far their settings differ, how far their falls do, and whether
 * one accounts for the other.
 *
 * Sensor stops follow settings one to one. The contrast of a rendering is not known: a stop of settings is expected to give
 * 1.3 rendered stops, within the spread of cameras. That holds around the mid-tones; phones that tone by
 * place, and tones on the shoulder, follow no such rule, and the comparison says so in its notes.
 *
 * @example
 * ```ts
 * const [a, b] = [await gradeFrame("metered.jpg", brief), await gradeFrame("plus-one.jpg", brief)];
 * compareFrames(a, b).agree; // => true: one stop more light, and the tone moved as that predicts
 * ```
 */
export function compareFrames(a: FrameResult, b: FrameResult): FrameComparison {
  const basis = a.basis === b.basis ? a.basis : null;
  const givenExposureStops =
    a.givenExposure === null || b.givenExposure === null ? null : b.givenExposure - a.givenExposure;
  const comparable = basis !== null && basis !== "settings" && isSensor(a) === isSensor(b);
  const fallStops = comparable && a.fall && b.fall ? boundedDifference(b.fall, a.fall) : null;
  const cancelled = cancelledUnknowns(a, b, comparable);
  const settled = comparable && givenExposureStops !== null;
  const expected = settled ? expectation(a, basis, givenExposureStops, cancelled) : null;
  const oneSeries = mayBeOneSeries(a, b);
  const composite = [a, b].some(({ exposure }) => exposure && isComposite(exposure));
  return {
    basis,
    givenExposureStops,
    fallStops,
    expectedFallStops: expected?.stops ?? null,
    uncertainty: expected?.uncertainty ?? null,
    uncertaintyParts: expected?.parts ?? {},
    agree:
      fallStops && expected && !composite && oneSeries
        ? agreement(fallStops, expected, [a, b].some(onShoulder))
        : null,
    cancelled,
    notes: comparisonNotes(a, b, { comparable, composite, oneSeries }),
  };
}

interface Expectation {
  readonly stops: number;
  readonly uncertainty: number;
  readonly parts: Readonly<Record<string, number>>;
}

function expectation(
  frame: FrameResult,
  basis: Basis,
  given: number,
  cancelled: readonly CancelledUnknown[],
): Expectation {
  const budget = ERROR_BUDGET[isSensor(frame) ? "raw" : "unknown-jpeg"];
  // A scene claim on a picture is in stops of light already: `sceneLight` estimated them.
  const contrast = basis === "rendered" ? RENDERED_CONTRAST : 1;
  const spread = showsLight(frame) ? 0 : (RENDERED_CONTRAST_SPREAD / RENDERED_CONTRAST) * contrast;
  const twice = Math.SQRT2;
  const parts = {
    measuring: twice * (basis === "rendered" ? RENDERED_MEASURING : budget.region),
    settingsPair: contrast * budget.settingsPair,
    curve: spread * Math.abs(given),
    middleGrey: cancelled.includes("middle-grey") ? 0 : twice * contrast * budget.middleGrey,
  };
  return { stops: contrast * given, uncertainty: hypot(...Object.values(parts)), parts };
}

function agreement(
  fall: BoundedStops,
  { stops, uncertainty }: Expectation,
  squeezed: boolean,
): boolean | null {
  const beyond = fall.stops - stops;
  const room = AGREEMENT_DEVIATIONS * uncertainty;
  if (fall.bound === null) {
    const fellShort = fall.stops * stops >= 0 && Math.abs(fall.stops) < Math.abs(stops);
    return Math.abs(beyond) <= room || (squeezed && fellShort ? null : false);
  }
  // A bound can refute the expectation, never confirm it.
  const refuted = fall.bound === "at least" ? beyond > room : -beyond > room;
  return refuted ? false : null;
}

function cancelledUnknowns(
  a: FrameResult,
  b: FrameResult,
  comparable: boolean,
): CancelledUnknown[] {
  const same = (field: "make" | "model" | "software" | "contrast" | "customRendered"): boolean =>
    a.exposure?.[field].value === b.exposure?.[field].value;
  const named = a.exposure?.make.value != null && a.exposure.model.value != null;
  if (!(named && same("make") && same("model"))) return [];
  const processedAlike =
    isSensor(a) || (same("software") && same("contrast") && same("customRendered"));
  return comparable && processedAlike ? ["kit", "middle-grey"] : ["kit"];
}

function comparisonNotes(
  a: FrameResult,
  b: FrameResult,
  {
    comparable,
    composite,
    oneSeries,
  }: { readonly comparable: boolean; readonly composite: boolean; readonly oneSeries: boolean },
): Note[] {
  const notes: Note[] = [];
  const say = (holds: boolean, code: NoteCode, message: string): void => {
    if (holds) notes.push({ code, message });
  };
  say(
    !comparable,
    "bases-differ",
    "The falls were not measured on the same basis, so they cannot be compared.",
  );
  say(
    !oneSeries,
    "not-one-series",
    "The frames come from two folders, or were taken more than ten minutes apart: the light may have changed.",
  );
  say(
    comparable && a.region !== b.region,
    "regions-differ",
    "The two regions differ; the comparison assumes that they show one subject.",
  );
  say(
    [a, b].some(({ exposure }) => exposure?.flashFired.value === true),
    "flash-fired",
    "Flash gave part of the light, which the settings do not describe.",
  );
  say(
    composite,
    "composite",
    "A picture was merged from several exposures, or parts of it were toned separately, so its settings do not predict its tones.",
  );
  say(
    comparable && [a, b].some(onShoulder),
    "on-the-shoulder",
    "One tone is so light that renderings compress it: it moves by less than the settings say.",
  );
  return notes;
}

function isSensor({ picture }: FrameResult): boolean {
  return picture?.colourFrom === "sensor";
}

function onShoulder({ basis, fall }: FrameResult): boolean {
  return basis === "rendered" && fall !== null && fall.stops > SHOULDER_STOPS;
}
