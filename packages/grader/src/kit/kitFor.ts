import { DEFAULT_TOLERANCE, ERROR_BUDGET, errorUncertainty } from "@tonefall/tone-core";
import type { MeasuredKit } from "../judge/grade/uncertaintyOf.ts";
import type { Note } from "../model/note.ts";
import type { Exposure, Fall, KitUse } from "../model/result.ts";
import type { Frame } from "../picture/frame.ts";
import { chooseKit } from "./chooseKit.ts";
import type { CameraKit } from "./kit.ts";
import type { NamedKit } from "./kitFile.ts";
import { type KitView, throughKit } from "./throughKit.ts";

/** What a kit says of one frame's claim. */
interface KitKnowledge extends MeasuredKit {
  /** Tolerance of the claim when its brief gives none, stops. */
  readonly tolerance: number;
  readonly row: KitUse;
}

/** The kit of a frame, and what it does for it. */
export interface KitOfFrame {
  /** Where it puts middle grey on the sensor, when that was measured. */
  readonly sensor: NonNullable<CameraKit["middleGrey"]>["sensor"];
  /** A rendered frame as light; null where there is no kit for it, and for a sensor's frame. */
  readonly view: (decoded: Frame) => KitView | null;
  /** What is known of a claim; null where the kit says nothing of it. */
  readonly knowledge: (frame: Frame, view: KitView | null, fall: Fall) => KitKnowledge | null;
  readonly notesOn: (frame: Frame, view: KitView | null, fall: Fall) => readonly Note[];
}

/** Where middle grey lies in a rendering that was bracketed without a card: about where standards put it. Our judgement. */
const UNMEASURED_MIDDLE_GREY: number = ERROR_BUDGET.raw.middleGrey;

/** The kit of a frame among those at hand. */
export function kitFor(exposure: Exposure, kits: readonly NamedKit[]): KitOfFrame {
  const { chosen, notes } = chooseKit(kits, exposure);
  if (!chosen)
    return { sensor: null, view: () => null, knowledge: () => null, notesOn: () => notes };
  const { kit, file } = chosen;
  const { rendered = null, sensor = null } = kit.middleGrey ?? {};
  return {
    sensor,
    view: (decoded) =>
      decoded.basis === "rendered" && (kit.curve || rendered) ? throughKit(decoded, kit) : null,
    knowledge: (frame, view, fall) => {
      if (frame.basis === "scene") {
        return sensor && frame.middleGrey === sensor.shareOfSaturation
          ? known(file, "sensor-middle-grey", sensor.uncertainty, 0, DEFAULT_TOLERANCE.response)
          : null;
      }
      if (!view) return null;
      const middleGrey = rendered?.uncertainty ?? UNMEASURED_MIDDLE_GREY;
      if (!view.byCurve) {
        // A card tells where middle grey lies and nothing of the curve.
        const stopsFromMiddle = fall.stops;
        const { curve } = errorUncertainty({ kit: "unknown-jpeg", stopsFromMiddle }).parts;
        return known(file, "middle-grey", middleGrey, curve, DEFAULT_TOLERANCE.card);
      }
      const tolerance = DEFAULT_TOLERANCE[rendered ? "response" : "unknown-jpeg"];
      return known(file, "curve", middleGrey, view.curveUncertainty(fall.stops), tolerance);
    },
    notesOn: (frame, view, fall) => {
      if (frame.basis === "scene" || !view?.byCurve) return notes;
      return [
        ...notes,
        ...(rendered ? [] : [WITHOUT_MIDDLE_GREY]),
        ...([fall.p5, fall.p95].every(view.measuredAt) ? [] : [BEYOND_MEASURED]),
      ];
    },
  };
}

function known(
  file: string,
  used: KitUse["used"],
  middleGrey: number,
  curve: number,
  tolerance: number,
): KitKnowledge {
  const row = { file, used, middleGreyUncertainty: middleGrey, curveUncertainty: curve };
  return { middleGrey, curve, tolerance, row };
}

const WITHOUT_MIDDLE_GREY: Note = {
  code: "kit-without-middle-grey",
  message:
    "The kit's curve was measured but not where it puts middle grey: differences between frames are exact, the zero is not; a frame of a grey card tells it.",
};

const BEYOND_MEASURED: Note = {
  code: "beyond-measured-curve",
  message: "Part of the region is darker or lighter than the tones that the kit was measured with.",
};
