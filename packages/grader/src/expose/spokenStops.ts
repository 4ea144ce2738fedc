import { roundToThirds, speakStops } from "@tonefall/tone-core";
import { stopsText } from "../model/words.ts";

/** Further from a third of a stop than this, stops are said with decimals. */
const SAME = 0.005;

/** Stops with their sign as a photographer writes them, without the word: `+1 2/3`; `+0.50` where they are no thirds. */
export function spokenStops(stops: number): string {
  if (Math.abs(stops) < SAME) return "0";
  return Math.abs(stops - roundToThirds(stops)) < SAME
    ? speakStops(stops, { sign: true }).replace(/ stops?$/, "")
    : stopsText(stops);
}
