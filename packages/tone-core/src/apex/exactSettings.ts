import { expectObject } from "../expectGiven.ts";
import { expectFinite, expectPositive } from "../expectNumber.ts";
import type { Settings } from "./apex.ts";
import { MARKED_SERIES, type MarkedValue, type SeriesName } from "./markedSeries.ts";

/** Settings as the camera really made them. */
export interface ExactSettings extends Settings {
  /** The series all three were found on, or null when they were not and stay as recorded. */
  readonly series: SeriesName | null;
}

/** Room for a recorded f-number or speed to differ from the listed one: printed digits, far below any step. */
const SAME_VALUE = 1e-3;
/** Times are often written as cut decimals (0.0166 for 1/60). A real 1/33 is 3 % from the nearest listed value. */
const SAME_TIME = 5e-3;

/** Full stops first: they are part of both others. Thirds before halves: it is what most cameras are set to. */
const SERIES_ORDER: readonly SeriesName[] = ["full", "third", "half"];

/**
 * The exact settings behind marked ones: f/5.6 becomes 2^2.5, 1/60 becomes 1/64.
 *
 * By lookup in {@link MARKED_SERIES}, and only when aperture, time and speed are all on the lists of one series;
 * otherwise every value stays as recorded. Never by distance: f/3.9, 1/33 s and ISO 1160 are real values. A value that
 * is recorded exactly (1/64, f/5.66) counts as on the list and stays as it is. Where thirds and halves both fit and
 * differ (f/13, 1/20 s, f/1.2) the thirds are taken.
 *
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for a setting that is not above zero
 * @see [MARKED]
 *
 * @example
 * ```ts
 * exactSettings({ aperture: 8, shutterSeconds: 1 / 60, iso: 100 });
 * // => { aperture: 8, shutterSeconds: 0.015625, iso: 100, series: "full" }
 * exactSettings({ aperture: 3.9, shutterSeconds: 1 / 4, iso: 50 });
 * // => { aperture: 3.9, shutterSeconds: 0.25, iso: 50, series: null }
 * ```
 */
export function exactSettings(settings: Settings): ExactSettings {
  expectObject("the settings", settings);
  const recorded = {
    aperture: expectPositive("aperture", settings.aperture),
    shutterSeconds: expectPositive("shutter time", settings.shutterSeconds),
    iso: expectPositive("ISO speed", settings.iso),
  };
  for (const series of SERIES_ORDER) {
    const lists = MARKED_SERIES[series];
    const aperture = exactOn(lists.aperture, recorded.aperture, SAME_VALUE);
    const shutterSeconds = exactOn(lists.shutterSeconds, recorded.shutterSeconds, SAME_TIME);
    const iso = exactOn(lists.iso, recorded.iso, SAME_VALUE);
    if (aperture !== null && shutterSeconds !== null && iso !== null) {
      return { aperture, shutterSeconds, iso, series };
    }
  }
  return { ...recorded, series: null };
}

function exactOn(list: readonly MarkedValue[], value: number, tolerance: number): number | null {
  const near = (other: number): boolean => Math.abs(value / other - 1) <= tolerance;
  const marked = list.find((entry) => near(entry.marked));
  if (marked) return marked.exact;
  return list.some((entry) => near(entry.exact)) ? value : null;
}

/** How far a recorded compensation may stand from the third or half it is short for: 0.3 is 1/3. */
const COMPENSATION_ROUNDING = 0.04;

/**
 * The exact compensation behind a recorded one: 0.3 and 0.33 become 1/3, -1.7 becomes -5/3.
 *
 * Thirds and halves only, and only within 0.04 stop; anything else stays as recorded.
 *
 * @param compensationStops - as the camera recorded it
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN and infinities
 *
 * @example
 * ```ts
 * exactCompensation(0.7); // => 0.6666666666666666
 * exactCompensation(0.25); // => 0.25
 * ```
 */
export function exactCompensation(compensationStops: number): number {
  const stops = expectFinite("compensation", compensationStops);
  for (const steps of [3, 2]) {
    const near = Math.round(stops * steps) / steps;
    if (Math.abs(stops - near) <= COMPENSATION_ROUNDING) return near === 0 ? 0 : near;
  }
  return stops;
}
