import { speakStops } from "@tonefall/tone-core";
import type { CameraStep, NextSettings } from "../../model/nextSettings.ts";
import { STEPS_PER_STOP } from "./cameraStep.ts";

/**
 * How much light the advice asks for, without its direction: `at least 1 2/3 stops`. Every output that speaks of a miss
 * takes its size from here.
 *
 * @returns null where the tone is too far off to tell
 */
export function lightWords({
  stops,
  bound,
  step,
}: Pick<NextSettings, "stops" | "bound" | "step">): string | null {
  if (stops === null) return null;
  // The advice is a miss turned round: a fall of at least this, or of at most this, leaves at least this to give.
  return `${bound === null ? "" : "at least "}${sizeText(stops, step)}`;
}

/**
 * How far a tone missed, in the steps that its camera is set in, as {@link lightWords}. A rendering may ask for more or less
 * light than that.
 *
 * @param miss - signed or not, stops
 */
export function missWords(next: NextSettings, miss: number): string | null {
  if (next.stops === null) return null;
  const least = 1 / STEPS_PER_STOP[next.step ?? "third"];
  return lightWords({ ...next, stops: Math.max(least, Math.abs(miss)) });
}

/** A compensation as a camera shows it: `+1 2/3`, `-1/2`, `0`. */
export function compensationWords(stops: number, step: NextSettings["step"]): string {
  if (Math.abs(stops) < 1 / 6) return "0";
  return `${stops > 0 ? "+" : "-"}${sizeText(stops, step).replace(/ stops?$/, "")}`;
}

/** A setting's stops with their sign, in the steps that it is a mark of: `+1 2/3`, `-1/2`, `0`. */
export function settingWords(stops: number): string {
  return compensationWords(stops, stepOf(stops));
}

/** The size of a setting's stops, in the steps that it is a mark of: `1 2/3 stops`, `1/2 stop`; null where it is none. */
export function settingSize(stops: number): string | null {
  return settingWords(stops) === "0" ? null : sizeText(stops, stepOf(stops));
}

/** Recorded settings are rounded: this near to a half stop, they are one. */
const SAME_STEP_STOPS = 0.02;

function stepOf(stops: number): CameraStep {
  return Math.abs(2 * stops - Math.round(2 * stops)) < 2 * SAME_STEP_STOPS ? "half" : "third";
}

/** The size of a difference, without its sign: `1 2/3 stops`, `1/2 stop`. */
function sizeText(stops: number, step: NextSettings["step"]): string {
  return step === "half" ? halvesText(Math.abs(stops)) : speakStops(Math.abs(stops));
}

/** Stops in halves: `1 1/2 stops`. */
function halvesText(stops: number): string {
  const halves = Math.round(2 * stops);
  const size = [Math.floor(halves / 2) || "", halves % 2 ? "1/2" : ""].filter(Boolean).join(" ");
  return `${size} ${halves > 2 ? "stops" : "stop"}`;
}
