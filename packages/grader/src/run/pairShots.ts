import { exp2, hypot, RENDERED_CONTRAST } from "@tonefall/tone-core";
import { isComposite } from "../grade/settingsFall.ts";
import type { Exposure, FrameResult, SensorResult, ShotPair } from "../result.ts";

/** Exposures further apart than this, in stops, are two shots, whatever their names. */
const SAME_EXPOSURE_STOPS = 0.1;

/** More of a region clipped than this is worth telling. */
const CLIPPED_SHARE = 0.01;

/** A rendered tone within this of middle grey, in stops, tells where the rendering puts middle grey. */
const NEAR_MIDDLE_STOPS = 1;

/** Standard uncertainty of a rendered middle grey at it, and for every stop from it; our judgement. */
const AT_MIDDLE = 0.05;
const PER_STOP = 0.15;

/** What of a row tells whether it is one of a pair: a graded row will do, and so does this part of it. */
export type ShotRow = Pick<
  FrameResult,
  "file" | "givenExposure" | "basis" | "fall" | "clipped" | "region"
> & {
  /** Time and processing of the record; null where there is no record. */
  readonly exposure: Pick<Exposure, "capturedAt" | "composite" | "customRendered"> | null;
  /** Middle grey of a raw file; null for a rendered one. */
  readonly sensor: Pick<SensorResult, "middleGrey"> | null;
};

/**
 * Passes graded rows through, and tells on the second row of a raw and rendered pair what the two say together.
 *
 * A pair is one raw and one rendered file of the same folder and stem whose settings and time, where both have them,
 * agree. Rows keep their order; nothing is held back.
 *
 * @param rows - graded rows in the order of a run
 * @param files - the rows' files, where they are known beforehand: what tells a pair is then kept of a row only while
 *   another of its stem is to come, so that memory does not grow with the run
 */
export async function* withPairs(
  rows: AsyncIterable<FrameResult>,
  files?: readonly string[],
): AsyncGenerator<FrameResult> {
  const seen = new Map<string, ShotRow>();
  const toCome = files && repeatedStems(files);
  for await (const row of rows) {
    const stem = stemOf(row.file);
    const other = seen.get(stem);
    const pair = other ? pairOf(other, row) : null;
    const more = toCome ? (toCome.get(stem) ?? 1) - 1 : Number.POSITIVE_INFINITY;
    if (more === 0) {
      seen.delete(stem);
    } else {
      toCome?.set(stem, more);
      if (!other) seen.set(stem, shotOf(row));
    }
    yield pair ? { ...row, pair } : row;
  }
}

/** Stems that more than one file has, with how many. */
function repeatedStems(files: readonly string[]): Map<string, number> {
  const counts = new Map<string, number>();
  for (const stem of files.map(stemOf)) counts.set(stem, (counts.get(stem) ?? 0) + 1);
  for (const [stem, count] of counts) if (count === 1) counts.delete(stem);
  return counts;
}

/**
 * What the raw and the rendered file of one shot say together; null where the two are no pair.
 *
 * @param a - a graded row
 * @param b - another of the same stem
 */
export function pairOf(a: ShotRow, b: ShotRow): ShotPair | null {
  const [raw, rendered] = a.sensor ? [a, b] : [b, a];
  if (!raw.sensor || rendered.sensor || rendered.basis !== "rendered") return null;
  if (!raw.fall || !rendered.fall || !isSameShot(raw, rendered)) return null;
  const inRendering = rendered.clipped?.share ?? 0;
  const onSensor = raw.clipped?.share ?? 0;
  return {
    raw: raw.file,
    rendered: rendered.file,
    clippedOnlyInRendering: inRendering > CLIPPED_SHARE && onSensor <= CLIPPED_SHARE,
    renderedMiddleGrey: renderedMiddleGrey(raw, rendered),
  };
}

/**
 * The share of sensor saturation that this rendering shows as middle grey: the region's light on the sensor, less what
 * the rendering shows it from middle grey. Null where the region is clipped, toned by place or too far from middle grey.
 */
function renderedMiddleGrey(raw: ShotRow, rendered: ShotRow): ShotPair["renderedMiddleGrey"] {
  if (!raw.fall || !rendered.fall || !raw.sensor || !rendered.exposure) return null;
  const shown = rendered.fall.stops;
  if (raw.fall.bound || rendered.fall.bound || Math.abs(shown) > NEAR_MIDDLE_STOPS) return null;
  if (raw.region !== rendered.region || isComposite(rendered.exposure)) return null;
  const stops = raw.fall.stops - shown / RENDERED_CONTRAST;
  return {
    shareOfSaturation: raw.sensor.middleGrey.shareOfSaturation * exp2(stops),
    stopsFromAssumed: stops,
    uncertainty: hypot(AT_MIDDLE, PER_STOP * Math.abs(shown)),
  };
}

function shotOf(row: FrameResult): ShotRow {
  const { file, givenExposure, basis, fall, clipped, region, exposure, sensor } = row;
  return {
    ...{ file, givenExposure, basis, fall, clipped, region },
    exposure: exposure && {
      capturedAt: exposure.capturedAt,
      composite: exposure.composite,
      customRendered: exposure.customRendered,
    },
    sensor: sensor && { middleGrey: sensor.middleGrey },
  };
}

/** Whether two files may be of one shot: exposures and times of capture agree, where both have them. */
export function isSameShot(
  a: Pick<ShotRow, "givenExposure" | "exposure">,
  b: Pick<ShotRow, "givenExposure" | "exposure">,
): boolean {
  if (a.givenExposure !== null && b.givenExposure !== null) {
    if (Math.abs(a.givenExposure - b.givenExposure) > SAME_EXPOSURE_STOPS) return false;
  }
  const times = [a, b].map(({ exposure }) => exposure?.capturedAt.value?.slice(0, 19) ?? null);
  return times[0] === null || times[1] === null || times[0] === times[1];
}

/** A file's path without its extension, in lower case. */
export function stemOf(file: string): string {
  return file.replace(/\.[^./]*$/, "").toLowerCase();
}
