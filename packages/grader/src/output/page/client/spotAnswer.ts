import { cameraStep, STEPS_PER_STOP } from "../../../judge/advice/cameraStep.ts";
import { movedMark } from "../../../judge/advice/movedMark.ts";
import { settingsText } from "../../../model/words.ts";
import { boundedFigure, sizeWords, typeset } from "../pageWords.ts";
import type { SpotFrame } from "../spotFrame.ts";
import { sizeBound } from "../wording.ts";
import { element } from "./element.ts";
import type { SpotReading } from "./spotReading.ts";

/** What a meter on the spot would have asked for, and what that would have done to the brief's region. */
export function spotAnswer(reading: SpotReading | null, frame: SpotFrame): (Node | string)[] {
  if (!reading) return ["The spot lies outside the picture."];
  const { stops, bound } = reading;
  const value = element("data", { value: stops.toFixed(4) }, boundedFigure(reading));
  const size = sizeWords(stops);
  const asked = size
    ? `${sizeBound(stops, bound)}${size} ${stops > 0 ? "less" : "more"} light`
    : "neither more nor less light";
  const subject =
    frame.fall === null || frame.fall.bound || bound
      ? ""
      : ` The brief's region would then fall at ${boundedFigure({ stops: frame.fall.stops - stops, bound: null })}.`;
  const kind =
    frame.fromSensor || frame.basis === "scene"
      ? ""
      : " Stops are of the picture, not of the scene.";
  return [
    element("strong", {}, "This spot fell at ", value, "."),
    ` A meter on it would have asked for ${asked}${size && !bound ? settingFor(stops, frame) : ""}.${subject}${kind}`,
  ];
}

/** The mark on the camera's own scale that gives that light: of the time, else of the ISO. */
function settingFor(stops: number, { settings }: SpotFrame): string {
  if (!settings) return "";
  const step = cameraStep(settings);
  const steps = Math.round(-stops * STEPS_PER_STOP[step ?? "third"]);
  if (steps === 0) return "";
  for (const setting of ["shutter", "iso"] as const) {
    const { to } = movedMark(settings, setting, step, steps);
    if (to !== null) {
      return `: ${typeset(settingsText({ ...settings, [setting]: { value: to, from: "" } }))}`;
    }
  }
  return "";
}
