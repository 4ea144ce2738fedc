import { log2 } from "@tonefall/tone-core";
import { isComposite } from "../grade/settingsFall.ts";
import type { Exposure } from "../result.ts";
import type { CauseFacts, CauseRow } from "./causeFacts.ts";
import { unexplained } from "./contrast.ts";

/** Frames further apart than this say nothing about each other's light. Our judgement. */
const LONGEST_STEP_MS = 10 * 60_000;

/** What changed from an earlier frame of the same camera and subject to this one; all in stops, + is brighter. */
export interface FrameStep {
  /** Signed miss of the earlier frame, 0 where it held. */
  readonly missBefore: number;
  /** Change of what the settings give. */
  readonly given: number;
  /** The part of it that aperture and time give. */
  readonly byHand: number;
  /** The part of it that the ISO gives. */
  readonly byIso: number;
  /** Change of the subject's fall. */
  readonly fall: number;
  /** Change of the fall that no contrast makes of the settings. */
  readonly light: number;
  /** Change of the reading; null where one of the two is not known. */
  readonly reading: number | null;
}

/** The step to a frame from the nearest one before it that can be compared; null where there is none. */
export function frameStep(facts: CauseFacts, preceding: readonly CauseRow[]): FrameStep | null {
  const before = preceding.findLast((row) => comparable(row, facts.row));
  return before ? stepFrom(before, facts) : null;
}

function comparable(before: CauseRow, row: CauseRow): boolean {
  if (!before.exposure || !row.exposure) return false;
  if (!before.error || !before.fall || before.fall.bound) return false;
  return (
    sameBrief(before, row) &&
    sameCamera(before.exposure, row.exposure) &&
    closeInTime(before.exposure, row.exposure) &&
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

/** One camera, told by make and model only, with one way of toning. */
function sameCamera(a: Exposure, b: Exposure): boolean {
  if (a.model.value === null) return false;
  const fields = ["make", "model", "software", "customRendered", "contrast"] as const;
  return fields.every((field) => a[field].value === b[field].value);
}

function closeInTime(a: Exposure, b: Exposure): boolean {
  if (a.capturedAt.value === null || b.capturedAt.value === null) return false;
  const apart = Date.parse(b.capturedAt.value) - Date.parse(a.capturedAt.value);
  return apart >= 0 && apart <= LONGEST_STEP_MS;
}

function describesTheLight(exposure: Exposure): boolean {
  return exposure.flashFired.value !== true && !isComposite(exposure);
}

function stepFrom(before: CauseRow, { row, side, contrast }: CauseFacts): FrameStep {
  const given = (row.givenExposure as number) - (before.givenExposure as number);
  const byIso = isoStops(row) - isoStops(before);
  const fall = (row.fall?.stops as number) - (before.fall?.stops as number);
  const light = unexplained(fall, given, contrast);
  // A clipped fall lies beyond what it says, so it can show more light than the settings explain, never less.
  const hidden = row.fall?.bound !== null && Math.sign(light) !== side;
  return {
    missBefore: before.verdict === "within" ? 0 : (before.error?.stops as number),
    given,
    byIso,
    byHand: given - byIso,
    fall,
    light: hidden ? 0 : light,
    reading: readingChange(before, row),
  };
}

function isoStops({ exposure }: CauseRow): number {
  return log2((exposure?.iso.exact ?? exposure?.iso.value) as number);
}

function readingChange(before: CauseRow, row: CauseRow): number | null {
  const [a, b] = [before.split?.reading, row.split?.reading];
  if (!a || !b || a.bound || b.bound || a.pattern !== b.pattern) return null;
  return b.stops - a.stops;
}
