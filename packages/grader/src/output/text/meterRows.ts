import type { BoundedStops, Reading } from "../../model/metering.ts";
import type { Exposure } from "../../model/result.ts";
import { boundedStopsText, safeText } from "../../model/words.ts";
import type { MeterResult } from "../../run/meterFrame.ts";

/** The parts of a metered frame that tables and CSV show. */
export type MeteredFrame = Pick<
  MeterResult,
  | "file"
  | "basis"
  | "region"
  | "fall"
  | "error"
  | "readings"
  | "split"
  | "light"
  | "notes"
  | "failure"
  | "next"
> & { readonly exposure: Pick<Exposure, "meteringPattern"> | null };

/** One reading of one frame. A frame without a reading still has a row, whose reading is null. */
export interface MeterRow {
  readonly frame: MeteredFrame;
  readonly reading: Reading | null;
  /** Whether this row is the first of its frame, which also shows what concerns the whole frame. */
  readonly first: boolean;
}

/** A metered frame as rows, one for each pattern. */
export function meterRows(frame: MeteredFrame): MeterRow[] {
  const readings = frame.readings.length > 0 ? frame.readings : [null];
  return readings.map((reading, i) => ({ frame, reading, first: i === 0 }));
}

/** Whether a reading is of the pattern that the file records. */
export function isRecorded({ frame, reading }: MeterRow): boolean {
  return reading !== null && frame.exposure?.meteringPattern.value === reading.pattern;
}

/** A pattern's name, and whether it was recorded or is an estimate: `spot, recorded`, `multi-segment, estimate`. */
export function patternText(row: MeterRow): string {
  if (!row.reading) return row.frame.failure ? "not metered" : "-";
  const { pattern, estimate } = row.reading;
  return [
    pattern,
    ...(isRecorded(row) ? ["recorded"] : []),
    ...(estimate ? ["estimate"] : []),
  ].join(", ");
}

/** Stops as a cell, `-` where there are none. */
export function cellText(stops: BoundedStops | null | undefined): string {
  return stops ? boundedStopsText(stops) : "-";
}

/** The light that suits a frame's settings, in words: `EV 10.7, 203 cd/m²; as for galleries`. */
export function lightText({ light }: Pick<MeteredFrame, "light">): string {
  if (!light) return "-";
  const { ev100, luminanceAtMiddleGrey, scenes, plausible } = light;
  const suits = `EV ${ev100.toFixed(1)}, ${Number(luminanceAtMiddleGrey.toPrecision(3))} cd/m²`;
  if (plausible === null) return `${suits}; the settings do not describe the light`;
  const usual = scenes.slice(0, SCENES_SHOWN).map(({ name }) => safeText(name));
  return `${suits}; ${usual.length > 0 ? `as for ${usual.join(", or ")}` : "as for no published scene"}`;
}

/** Two scenes give an idea of the light; the whole list is in the JSON. */
const SCENES_SHOWN = 2;
