import {
  exactSettings,
  exp2,
  givenExposure,
  log2,
  MARKED_SERIES,
  type MarkedValue,
  roundToThirds,
} from "@tonefall/tone-core";
import type { Exposure } from "../model/result.ts";
import type { MadeSettings } from "./exposure.ts";

/** What the settings have to let in. */
export interface WantedExposure {
  /** Against the capture's own exposure, stops. */
  readonly stops: number;
  /** The part of it that is a step of a series, or compensation: it is kept to the third where it is thirds. */
  readonly stepStops: number;
  /** Another f-number than the capture's. */
  readonly aperture?: number;
}

/** Times closer to a mark than this are that mark, stops. */
const SAME = 1e-6;

/**
 * The settings that a camera would have had for an exposure: aperture and ISO of the capture, and the time to the third
 * of a stop, as cameras mark it.
 *
 * Where the capture's own settings are no marks of thirds (a phone's, or half stops), the time is exact instead.
 *
 * @returns null where the capture does not record all three
 */
export function madeSettings(
  { aperture, shutter, iso }: Pick<Exposure, "aperture" | "shutter" | "iso">,
  { stops, stepStops, aperture: wanted }: WantedExposure,
): MadeSettings | null {
  if (aperture.value === null || shutter.value === null || iso.value === null) return null;
  const captured = exactSettings({
    aperture: aperture.value,
    shutterSeconds: shutter.value,
    iso: iso.value,
  });
  const target = givenExposure(captured) + stops;
  const number = wanted ?? aperture.value;
  const marks = captured.series === "full" || captured.series === "third";
  const exactNumber = marks ? exactOf(MARKED_SERIES.third.aperture, number) : number;
  const exact = { ...captured, aperture: exactNumber, shutterSeconds: 1 };
  const wantedStops = target - givenExposure(exact);
  // Rounded without the step, so that steps of thirds stay exact from frame to frame.
  const rounded = marks ? roundToThirds(wantedStops - stepStops) + stepStops : wantedStops;
  const seconds = marks ? markedTime(rounded) : exp2(rounded);
  return {
    aperture: number,
    shutterSeconds: seconds,
    iso: iso.value,
    roundingStops: wantedStops - rounded,
  };
}

function exactOf(list: readonly MarkedValue[], value: number): number {
  const near = list.find(({ marked }) => Math.abs(value / marked - 1) < 1e-3);
  return near?.exact ?? value;
}

/** The mark of a time that is so many stops from a second; the time itself where there is none. */
function markedTime(stops: number): number {
  const mark = MARKED_SERIES.third.shutterSeconds.find(
    ({ exact }) => Math.abs(log2(exact) - stops) < SAME,
  );
  return mark?.marked ?? exp2(stops);
}
