import { log2 } from "@tonefall/tone-core";
import type { Exposure } from "../../model/result.ts";
import { inOneFolder, soonAfter } from "../grade/oneSeries.ts";
import { isComposite } from "../grade/settingsFall.ts";
import type { CauseFacts, CauseRow } from "./causeFacts.ts";
import { contrastOf, unexplained } from "./contrast.ts";
import type { ShownMiss } from "./lightMiss.ts";
import { LIGHT_CHANGE_SHARE, LIGHT_CHANGE_STOPS } from "./limits.ts";
import { likelyLight, shownStops } from "./renderedCurve.ts";

/** What changed from an earlier frame of the same camera and subject to this one; all in stops, + is brighter. */
export interface FrameStep {
  /** Signed miss of the earlier frame, 0 where it held. */
  readonly missBefore: number;
  /** The earlier frame's fall, for what its light may have been; null where it held. */
  readonly before: ShownMiss | null;
  /** Change of what the settings give. */
  readonly given: number;
  /** The part of it that aperture and time give. */
  readonly byHand: number;
  /** The part of it that the aperture gives. */
  readonly byAperture: number;
  /** The part of it that the ISO gives. */
  readonly byIso: number;
  /** Change of the subject's fall. */
  readonly fall: number;
  /** Change of the fall that no contrast makes of the settings. */
  readonly light: number;
  /** Whether the reading moved as the subject did, as another light moves both; null where it is not known. */
  readonly reading: { readonly alike: boolean } | null;
}

/** The step to a frame from the nearest one before it that can be compared; null where there is none. */
export function frameStep(facts: CauseFacts, preceding: readonly CauseRow[]): FrameStep | null {
  return frameSteps(facts, preceding).at(-1) ?? null;
}

/** The steps to a frame from all those before it that can be compared, oldest first. */
export function frameSteps(
  facts: CauseFacts,
  preceding: readonly CauseRow[],
): readonly FrameStep[] {
  return preceding
    .filter((before) => comparable(before, facts.row))
    .map((before) => stepFrom(before, facts));
}

function comparable(before: CauseRow, row: CauseRow): boolean {
  if (!before.exposure || !row.exposure) return false;
  if (!before.error || !before.fall || before.fall.bound) return false;
  return (
    sameBrief(before, row) &&
    sameCamera(before.exposure, row.exposure) &&
    inOneFolder(before, row) &&
    soonAfter(before, row) &&
    [before.exposure, row.exposure].every(describesTheLight) &&
    before.givenExposure !== null &&
    row.givenExposure !== null
  );
}

function sameBrief(a: CauseRow, b: CauseRow): boolean {
  return (
    a.basis === b.basis &&
    a.region === b.region &&
    a.placement?.from === b.placement?.from &&
    a.placement?.to === b.placement?.to
  );
}

/** Whether both frames come from one camera, by make and model alone, and were toned alike. */
function sameCamera(a: Exposure, b: Exposure): boolean {
  if (a.model.value === null) return false;
  const fields = ["make", "model", "software", "customRendered", "contrast"] as const;
  return fields.every((field) => a[field].value === b[field].value);
}

function describesTheLight(exposure: Exposure): boolean {
  return exposure.flashFired.value !== true && !isComposite(exposure);
}

function stepFrom(before: CauseRow, { row, side }: CauseFacts): FrameStep {
  const given = (row.givenExposure as number) - (before.givenExposure as number);
  const byIso = isoStops(row) - isoStops(before);
  const fall = (row.fall?.stops as number) - (before.fall?.stops as number);
  const shown = shownFall(row) - shownFall(before);
  const light = unexplained(shown, given, contrastOf(row));
  // A clipped fall lies beyond what it says, so it can show more light than the settings explain, never less.
  const hidden = row.fall?.bound !== null && Math.sign(light) !== side;
  const missBefore = before.verdict === "within" ? 0 : (before.error?.stops as number);
  return {
    missBefore,
    before:
      missBefore === 0
        ? null
        : { row: before, shown: before.fall?.stops as number, side: Math.sign(missBefore) },
    given,
    byIso,
    byHand: given - byIso,
    byAperture: apertureStops(row) - apertureStops(before),
    fall,
    light: hidden ? 0 : light,
    reading: readingStep(before, row),
  };
}

/** Where the subject fell in the picture. */
function shownFall(row: CauseRow): number {
  return shownStops(row, row.fall?.stops as number);
}

function isoStops({ exposure }: CauseRow): number {
  return log2((exposure?.iso.exact ?? exposure?.iso.value) as number);
}

function apertureStops({ exposure }: CauseRow): number {
  return -2 * log2((exposure?.aperture.exact ?? exposure?.aperture.value) as number);
}

function readingStep(before: CauseRow, row: CauseRow): FrameStep["reading"] {
  const [a, b] = [before.split?.reading, row.split?.reading];
  if (!a || !b || a.bound || b.bound || a.pattern !== b.pattern) return null;
  const change = (from: number, to: number): number =>
    likelyLight(row, to) - likelyLight(row, from);
  const ofFall = change(before.fall?.stops as number, row.fall?.stops as number);
  // In shadows and on a shoulder the light behind a tone is the less known the further it moved.
  const room = Math.max(LIGHT_CHANGE_STOPS, LIGHT_CHANGE_SHARE * Math.abs(ofFall));
  return { alike: Math.abs(change(a.stops, b.stops) - ofFall) <= room };
}
