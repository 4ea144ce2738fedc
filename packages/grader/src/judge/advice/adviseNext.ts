import { log2, sceneLight } from "@tonefall/tone-core";
import { decidedError } from "../../model/decidedError.ts";
import { wasMade } from "../../model/madeFrame.ts";
import type { NextSettings, NextWay, SettingName } from "../../model/nextSettings.ts";
import type { Note } from "../../model/note.ts";
import { type CauseRow, causeFacts } from "../cause/causeFacts.ts";
import { showsLight } from "../grade/showsLight.ts";
import { advisedLight } from "./advisedLight.ts";
import { movedMark } from "./movedMark.ts";
import { wayCosts } from "./wayCosts.ts";

const SETTINGS: readonly SettingName[] = ["aperture", "shutter", "iso"];

/**
 * Three ways to give the light that a missed tone asks for, in the camera's own steps, with what each costs.
 *
 * The light is the miss with its sign turned, as for the compensation that would have placed the tone right. On a rendering
 * whose curve is not known, look at the next frame: one stop of light may show as 1 to 1.5 stops.
 *
 * @param row - a graded row
 * @returns null unless the verdict is `over` or `under`; null of a frame made by `tonefall expose`
 *
 * @example
 * ```ts
 * // f/8 1/125 ISO 100, 1 stop under
 * adviseNext(row)?.ways.map(({ to }) => to); // => [5.6, 1 / 60, 200]
 * ```
 */
export function adviseNext(row: CauseRow): NextSettings | null {
  const facts = causeFacts(row);
  if (!facts || wasMade(row)) return null;
  const { exposure, miss, mode, compensation } = facts;
  const { step, steps, stops, direction } = advisedLight(exposure, miss);
  if (stops === null) return startAgain(row, step, direction);
  return {
    stops,
    reason: null,
    bound: turned(row),
    step,
    compensation: mode === "auto" && compensation !== null ? compensation + stops : null,
    ways: SETTINGS.map((setting): NextWay => {
      const from = exposure[setting].value;
      const moved = movedMark(exposure, setting, step, steps);
      const costs = moved.to === null ? [] : wayCosts(exposure, setting, from as number, moved.to);
      return { setting, from, ...moved, costs };
    }),
    roomBeforeClipping: roomBeforeClipping(row),
    notes: [
      ...(mode === "auto" ? [CAMERA_FOLLOWS] : []),
      ...(row.basis === "rendered" && row.picture?.colourFrom !== "sensor" ? [CURVE_UNKNOWN] : []),
      ...(exposure.flashFired.value === true ? [FLASH_LIGHT] : []),
    ],
  };
}

/** The advice for a tone that is too far off to calculate from. */
function startAgain(row: CauseRow, step: NextSettings["step"], direction: number): NextSettings {
  return {
    stops: null,
    reason: "too-far-to-tell",
    bound: null,
    step,
    compensation: null,
    ways: [],
    roomBeforeClipping: roomBeforeClipping(row),
    notes: [
      {
        code: "too-far-to-tell",
        message: `Far too ${direction > 0 ? "dark" : "light"} to tell by how much; start again from a meter reading.`,
      },
    ],
  };
}

/** A fall that is at least too light by a size asks for at most minus that size, so the bound turns with the sign. */
function turned({ error }: CauseRow): NextSettings["bound"] {
  const bound = error && decidedError(error).bound;
  if (!bound) return null;
  return bound === "at least" ? "at most" : "at least";
}

function roomBeforeClipping(row: CauseRow): NextSettings["roomBeforeClipping"] {
  const { picture, fall, basis } = row;
  if (!picture || !fall) return { stops: null, reason: "no-pixels" };
  const ceiling = log2((picture.scaleEnd?.luminance ?? 1) / picture.middleGrey);
  const guessed = basis === "scene" && !showsLight(row);
  const room = (guessed ? sceneLight(ceiling).stops : ceiling) - fall.p95;
  return { stops: Math.max(0, room), reason: null };
}

const CAMERA_FOLLOWS: Note = {
  code: "camera-follows",
  message:
    "In an automatic mode the camera cancels a change of one setting: set the compensation, or set all three by hand.",
};

const CURVE_UNKNOWN: Note = {
  code: "curve-unknown",
  message:
    "A camera's rendering may show a stop of light as up to one and a half: take a frame, look, and adjust from there.",
};

const FLASH_LIGHT: Note = {
  code: "flash-light",
  message: "The time changes the light of the surroundings, not that of the flash.",
};
