import { exactSettings, MARKED_SERIES, type MarkedValue } from "@tonefall/tone-core";
import type { CameraStep } from "../../model/nextSettings.ts";
import type { Exposure } from "../../model/result.ts";

/** Steps to a stop. */
export const STEPS_PER_STOP: Readonly<Record<CameraStep, number>> = { third: 3, half: 2 };

/**
 * The steps that a camera is set in, found from its settings: from aperture, time and ISO where all are marks of one series,
 * from the compensation where they are whole stops, and thirds, which most cameras are set to, where nothing shows it. Null
 * for a camera that is not set in steps, as phones are not: the three are known, and no marks of one series.
 */
export function cameraStep({
  aperture,
  shutter,
  iso,
  compensation,
}: Pick<Exposure, "aperture" | "shutter" | "iso" | "compensation">): CameraStep | null {
  if (aperture.value !== null && shutter.value !== null && iso.value !== null) {
    const { series } = exactSettings({
      aperture: aperture.value,
      shutterSeconds: shutter.value,
      iso: iso.value,
    });
    if (series !== "full") return series;
  }
  const bias = compensation.exact ?? compensation.value ?? 0;
  return Number.isInteger(bias) || !Number.isInteger(2 * bias) ? "third" : "half";
}

/** The marks of a setting in the camera's own step, in rising APEX value. */
export function marksOf(
  setting: "aperture" | "shutter" | "iso",
  step: CameraStep,
): readonly MarkedValue[] {
  const series = MARKED_SERIES[step];
  return setting === "shutter" ? series.shutterSeconds : series[setting];
}
