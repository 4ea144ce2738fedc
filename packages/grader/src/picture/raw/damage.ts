import type { Note } from "../../model/note.ts";
import type { SensorRectangle } from "../rawSensor.ts";
import type { SensorSamples } from "./gatherCells.ts";
import { topCode } from "./whiteFromData.ts";

/**
 * Samples of one row that are 0 side by side where data are missing: half of the smallest block, 512 bytes, of which disks
 * and cards lose whole ones.
 */
const MISSING_RUN = 128;

/**
 * Whether data are missing within a picture: a run of zeros in a row of a sensor whose black is above 0, which no light
 * and no noise leaves.
 *
 * @param sensor - the whole mosaic
 * @param picture - the part that is looked at: borders may well hold zeros
 * @param black - the lowest black level, codes
 */
export function hasMissingRun(
  { samples, width, planes }: SensorSamples,
  picture: SensorRectangle,
  black: number,
): boolean {
  // What software has made three colours of may end at 0.
  if (planes !== 1 || black <= 0) return false;
  for (let row = picture.top; row < picture.top + picture.height; row++) {
    const from = row * width + picture.left;
    const end = from + picture.width;
    // Every run of the length holds a sample of this lattice.
    for (let at = from + MISSING_RUN - 1; at < end; at += MISSING_RUN) {
      if (samples[at] === 0 && runAround(samples, at, from, end) >= MISSING_RUN) return true;
    }
  }
  return false;
}

function runAround(samples: Uint16Array, at: number, from: number, end: number): number {
  let first = at;
  let last = at;
  while (first > from && samples[first - 1] === 0) first--;
  while (last + 1 < end && samples[last + 1] === 0) last++;
  return last - first + 1;
}

/** What LibRaw, and its JPEG library, say of data that cannot be what was written. */
const DATA_FAULT = /data corrupted|corrupt jpeg data/i;

/** Times white beyond which no sensor writes: a level may be stated well below the converter's end, not at half of it. */
const MOST_OF_WHITE = 2;

/**
 * That a raw file is damaged, with what shows it: the decoder returns a whole picture all the same.
 *
 * @param remarks - what the decoder said, in its own words
 * @param missingRun - as {@link hasMissingRun} finds it
 * @param histograms - counts by code, one a channel
 * @param white - the highest white level that the file states
 */
export function damageNotes(
  remarks: readonly string[],
  missingRun: boolean,
  histograms: readonly Uint32Array[],
  white: number,
): Note[] {
  const top = Math.max(...histograms.map(topCode));
  const signs = [
    remarks.some((remark) => DATA_FAULT.test(remark)) && "the decoder found faults",
    missingRun && "runs of zeros lie below the black level",
    top > MOST_OF_WHITE * (white + 1) && `a code of ${top} lies far above the white level`,
  ].filter((sign) => sign !== false);
  if (signs.length === 0) return [];
  const message = `The raw file's data look damaged: ${signs.join("; ")}. Part of the picture may be wrong; copy it again from the camera or card.`;
  return [{ code: "decoded-with-warnings", message }];
}
