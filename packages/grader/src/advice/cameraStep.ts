import { exactSettings, MARKED_SERIES } from "@tonefall/tone-core";
import type { Exposure } from "../result.ts";

/** Steps to a stop, by the camera's step. */
export const STEPS_PER_STOP = { third: 3, half: 2 } as const;

/**
 * The steps a camera is set in, told from its settings: from aperture, time and ISO where all are marks of one series,
 * from the compensation where they are whole stops, and thirds, which most cameras are set to, where nothing tells.
 */
export function cameraStep({
  aperture,
  shutter,
  iso,
  compensation,
}: Exposure): keyof typeof STEPS_PER_STOP {
  if (aperture.value !== null && shutter.value !== null && iso.value !== null) {
    const { series } = exactSettings({
      aperture: aperture.value,
      shutterSeconds: shutter.value,
      iso: iso.value,
    });
    if (series === "third" || series === "half") return series;
  }
  const bias = compensation.exact ?? compensation.value ?? 0;
  return Number.isInteger(bias) || !Number.isInteger(2 * bias) ? "third" : "half";
}

/** The marks of a setting in the camera's own step, in rising APEX value. */
export function marksOf(
  setting: "aperture" | "shutter" | "iso",
  step: keyof typeof STEPS_PER_STOP,
): (typeof MARKED_SERIES)["third"]["iso"] {
  const series = MARKED_SERIES[step];
  return setting === "shutter" ? series.shutterSeconds : series[setting];
}
