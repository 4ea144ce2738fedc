import { speakStops } from "@tonefall/tone-core";
import type { NextSettings } from "../../model/nextSettings.ts";

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
  const size = step === "half" ? halvesText(Math.abs(stops)) : speakStops(Math.abs(stops));
  // Turned from an error that is at least so light, or at most so dark: either way the size is the least.
  return `${bound === null ? "" : "at least "}${size}`;
}

/** A compensation as a camera shows it: `+1 2/3`, `-1/2`, `0`. */
export function compensationWords(stops: number, step: NextSettings["step"]): string {
  if (Math.abs(stops) < 1 / 6) return "0";
  const size = step === "half" ? halvesText(Math.abs(stops)) : speakStops(Math.abs(stops));
  return `${stops > 0 ? "+" : "-"}${size.replace(/ stops?$/, "")}`;
}

/** Stops in halves: `1 1/2 stops`. */
function halvesText(stops: number): string {
  const halves = Math.round(2 * stops);
  const size = [Math.floor(halves / 2) || "", halves % 2 ? "1/2" : ""].filter(Boolean).join(" ");
  return `${size} ${halves > 2 ? "stops" : "stop"}`;
}
