import type { RegionStatistics } from "@tonefall/tone-core";
import { log2 } from "@tonefall/tone-core";
import { type Note, shareNote } from "../../model/note.ts";
import type { Basis, Exposure, Fall, Placement } from "../../model/result.ts";
import type { Frame } from "../../picture/frame.ts";
import { CLIPPED_BOUND_SHARE } from "./fallOf.ts";
import { isComposite } from "./settingsFall.ts";

/** Mean and median further apart than this, in stops, are two tones rather than one. */
const MIXED_STOPS = 1 / 3;

/** A placement may pass the ceiling of a rendering by this much before it is called out: half a third. */
const CEILING_SLACK_STOPS = 1 / 6;

/** What a measured row's reader should know. */
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
  const say = (code: string, message: string): void => {
    notes.push({ code, message });
  };

  if (frame.colour.from === "assumed") {
    say("assumed-srgb", "The file has no colour profile; its codes are taken as sRGB.");
  }
  if (Math.abs(fall.stops - fall.median) > MIXED_STOPS) {
    say(
      "mixed",
      "The region holds several tones: its mean and median are over 1/3 stop apart. A smaller region would say more.",
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
      `${what} lies ${ceiling.toFixed(2)} stops above middle grey; no tone can fall at the placement.`,
    );
  }
  if (basis === "scene" && frame.basis === "rendered" && !byCurve) {
    say(
      "scene-from-rendering",
      "A scene claim on a picture with an unknown tone curve: it supports the direction, not the size.",
    );
  }
  if (exposure.flashFired.value === true)
    say("flash-fired", "Flash fired: the settings do not describe the light.");
  if (isComposite(exposure))
    say(
      "composite",
      "The picture was merged or toned by place; its settings do not predict its tones.",
    );
  else if (exposure.customRendered.value === "custom") {
    say("custom-rendered", "The camera used special processing; settings and tones may disagree.");
  }
  return notes;
}
