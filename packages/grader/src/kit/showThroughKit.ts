import { DEFAULT_TOLERANCE, ERROR_BUDGET } from "@tonefall/tone-core";
import type { KnownKit } from "../judge/grade/knownKit.ts";
import type { ShownFrame } from "../judge/grade/measureClaim.ts";
import type { Note } from "../model/note.ts";
import type { Basis } from "../model/result.ts";
import type { Frame } from "../picture/frame.ts";
import type { ChosenKit } from "./chooseKit.ts";
import { frameInLight } from "./frameInLight.ts";
import type { NamedKit } from "./kit.ts";

/** Where middle grey lies in a rendering that was bracketed without a card: about where standards put it. Our judgement. */
const UNMEASURED_MIDDLE_GREY: number = ERROR_BUDGET.raw.middleGrey;

/**
 * A decoded frame as its kit shows it: the codes of a rendering as light, and what the kit says of the claim.
 *
 * A frame without a kit, and one whose brief asks for the rendered basis, is shown as it was decoded.
 *
 * @param asked - the basis that the brief asks for; null where it asks for none
 */
export function showThroughKit(
  decoded: Frame,
  { chosen, notes }: ChosenKit,
  asked: Basis | null,
): ShownFrame {
  if (!chosen) return { frame: decoded, kit: null, kitNotes: notes };
  if (decoded.basis === "scene") {
    return { frame: decoded, kit: sensorKit(decoded, chosen), kitNotes: notes };
  }
  const { kit } = chosen;
  const rendered = kit.middleGrey?.rendered ?? null;
  if (asked === "rendered" || !(kit.curve || rendered)) {
    return { frame: decoded, kit: null, kitNotes: notes };
  }
  const { frame, curve } = frameInLight(decoded, kit);
  const known: KnownKit = {
    file: chosen.file,
    used: curve ? "curve" : "middle-grey",
    middleGrey: rendered?.uncertainty ?? UNMEASURED_MIDDLE_GREY,
    curve,
    tolerance: curve
      ? DEFAULT_TOLERANCE[rendered ? "response" : "unknown-jpeg"]
      : DEFAULT_TOLERANCE.card,
  };
  const kitNotes = curve && !rendered ? [...notes, WITHOUT_MIDDLE_GREY] : notes;
  return { frame, kit: known, kitNotes };
}

/** What a kit says of a raw frame; null where the frame's middle grey is not the kit's. */
function sensorKit(frame: Frame, { kit, file }: NamedKit): KnownKit | null {
  const sensor = kit.middleGrey?.sensor;
  if (!sensor || frame.middleGrey !== sensor.shareOfSaturation) return null;
  return {
    file,
    used: "sensor-middle-grey",
    middleGrey: sensor.uncertainty,
    curve: null,
    tolerance: DEFAULT_TOLERANCE.response,
  };
}

const WITHOUT_MIDDLE_GREY: Note = {
  code: "kit-without-middle-grey",
  message:
    "The kit's curve was measured but not where it puts middle grey: differences between frames are exact, the zero is not. Photograph a grey card to measure it.",
};
