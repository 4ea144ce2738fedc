import { log2 } from "@tonefall/tone-core";
import type { ReadResult } from "../model/result.ts";

/** A control of the exposure. */
export type Control = "aperture" | "shutter" | "iso";

/** All controls of the exposure. */
export const CONTROLS: readonly Control[] = ["aperture", "shutter", "iso"];

/** Settings closer than this count as the same, stops: half a third, and a third is the finest step that cameras set. */
export const SAME_SETTING_STOPS: number = 1 / 6;

/** A control's setting in stops; null where it is not recorded. */
export function settingStops(
  { exposure }: Pick<ReadResult, "exposure">,
  control: Control,
): number | null {
  const field = exposure?.[control];
  const value = field ? (field.exact ?? field.value) : null;
  return value === null ? null : (control === "aperture" ? 2 : 1) * log2(value);
}

/** How far a setting varies over frames, stops; NaN where one of them does not record it. */
export function settingSpread(
  frames: readonly Pick<ReadResult, "exposure">[],
  control: Control,
): number {
  const stops = frames.map((frame) => settingStops(frame, control) ?? Number.NaN);
  return Math.max(...stops) - Math.min(...stops);
}
