import { log2, sceneLight } from "@tonefall/tone-core";
import { decidedError } from "../../model/decidedError.ts";
import { wasMade } from "../../model/madeFrame.ts";
import type { NextSettings, NextWay, SettingName } from "../../model/nextSettings.ts";
import type { Note } from "../../model/note.ts";
import { type CauseFacts, type CauseRow, causeFacts } from "../cause/causeFacts.ts";
import { isLight } from "../cause/renderedCurve.ts";
import { showsLight } from "../grade/showsLight.ts";
import { advisedLight } from "./advisedLight.ts";
import { expectedFall } from "./expectedFall.ts";
import { movedMark } from "./movedMark.ts";
import { wayCosts } from "./wayCosts.ts";

const SETTINGS: readonly SettingName[] = ["aperture", "shutter", "iso"];

/**
 * Three ways to give the light that a missed tone asks for, in the camera's own steps, with what each costs.
 *
 * The light is the miss with its sign turned. On a rendering whose curve is not known, earlier frames of the subject may tell
 * how steep it is: then the light is what most likely lands the tone. `expectedFall` says how surely.
 *
 * @param row - a graded row
 * @param preceding - rows of the same run before it, oldest first: those of the same subject show how steep the rendering is
 * @returns null unless the verdict is `over` or `under`; null of a frame made by `tonefall expose`
 *
 * @example
 * ```ts
 * // f/8 1/125 ISO 100, 1 stop under
 * adviseNext(row)?.ways.map(({ to }) => to); // => [5.6, 1 / 60, 200]
 * ```
 */
export function adviseNext(
  row: CauseRow,
  preceding: readonly CauseRow[] = [],
): NextSettings | null {
  const facts = causeFacts(row);
  if (!facts || wasMade(row)) return null;
  const { exposure, mode, compensation } = facts;
  const { step, steps, stops } = advisedLight(facts, preceding);
  if (stops === null) return startAgain(facts, step);
  return {
    stops,
    reason: null,
    bound: turned(row),
    step,
    expectedFall: expectedFall(facts, preceding, stops),
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
      ...(isLight(row) ? [] : [CURVE_UNKNOWN]),
      ...(exposure.flashFired.value === true ? [FLASH_LIGHT] : []),
    ],
  };
}

/** The advice for a tone that is too far off to calculate from. */
function startAgain({ row, side }: CauseFacts, step: NextSettings["step"]): NextSettings {
  return {
    stops: null,
    reason: "too-far-to-tell",
    bound: null,
    step,
    expectedFall: null,
    compensation: null,
    ways: [],
    roomBeforeClipping: roomBeforeClipping(row),
    notes: [
      {
        code: "too-far-to-tell",
        message: `Far too ${side < 0 ? "dark" : "light"} to tell by how much; start again from a meter reading.`,
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
    "A camera's rendering may show a stop of light as more or less than one: take a frame, check it, and adjust from there.",
};

const FLASH_LIGHT: Note = {
  code: "flash-light",
  message: "The time changes the light of the surroundings, not that of the flash.",
};
