import type { RegionStatistics } from "@tonefall/tone-core";
import { log2 } from "@tonefall/tone-core";
import { madeFrameOf } from "../../model/madeFrame.ts";
import { type Note, type NoteCode, shareNote } from "../../model/note.ts";
import type { Basis, Exposure, Fall, Placement } from "../../model/result.ts";
import type { Frame } from "../../picture/frame.ts";
import { CLIPPED_BOUND_SHARE } from "./fallOf.ts";
import { isComposite } from "./settingsFall.ts";

/** Mean and median further apart than this, in stops, are two tones rather than one. */
const MIXED_STOPS = 1 / 3;

/** A placement may pass the ceiling of a rendering by half of a third before a note says so, stops. */
const CEILING_SLACK_STOPS = 1 / 6;

/** What the reader of a measured row should know; what its file's record says of itself is noted when that is read. */
export function frameNotes(measured: {
  readonly frame: Frame;
  readonly statistics: RegionStatistics;
  readonly fall: Fall;
  readonly placement: Placement | null;
  readonly basis: Basis;
  readonly exposure: Exposure;
  /** Whether a measured curve turned the codes into light. */
  readonly byCurve: boolean;
}): Note[] {
  const { frame, statistics, fall, placement, basis, exposure, byCurve } = measured;
  const { clipped, crushed, transparentShare } = statistics;
  const notes: Note[] = [];
  const say = (code: NoteCode, message: string): void => {
    notes.push({ code, message });
  };

  if (frame.colour.from === "assumed") {
    say("assumed-srgb", "The file has no colour profile, so its codes are read as sRGB.");
  }
  if (Math.abs(fall.stops - fall.median) > MIXED_STOPS) {
    say(
      "mixed",
      "The region holds several tones: its mean and median lie more than 1/3 stop apart. Choose a smaller region.",
    );
  }
  if (clipped.share > CLIPPED_BOUND_SHARE) notes.push(shareNote("clipped", clipped.share));
  if (crushed.share > CLIPPED_BOUND_SHARE) notes.push(shareNote("crushed", crushed.share));
  if (transparentShare > 0) notes.push(shareNote("transparent", transparentShare));
  const ceiling = -log2(frame.middleGrey);
  if (placement && placement.from > ceiling + CEILING_SLACK_STOPS) {
    const what = basis === "rendered" ? "This picture's white" : "Saturation";
    say(
      "placement-above-white",
      `${what} lies ${ceiling.toFixed(2)} stops above middle grey, so no tone can fall as light as the placement.`,
    );
  }
  if (basis === "scene" && frame.basis === "rendered" && !byCurve) {
    say(
      "scene-from-rendering",
      "The camera's tone curve is not known, so the picture shows which way the light missed, not by how much.",
    );
  }
  if (exposure.flashFired.value === true)
    say("flash-fired", "The flash fired, so the settings do not describe the light.");
  if (isComposite(exposure))
    say(
      "composite",
      "The picture was merged from several exposures, or parts of it were toned separately, so its settings do not predict its tones.",
    );
  else if (exposure.customRendered.value === "custom" && !madeFrameOf(exposure)) {
    say(
      "custom-rendered",
      "The camera used special processing, so settings and tones may disagree.",
    );
  }
  return notes;
}
