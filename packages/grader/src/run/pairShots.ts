import { exp2, hypot, log2, RENDERED_CONTRAST } from "@tonefall/tone-core";
import { isComposite } from "../judge/grade/settingsFall.ts";
import type { Exposure, FrameResult, SensorResult, ShotPair } from "../model/result.ts";

/** Settings whose ratio is further apart than this, in powers of two, are two shots: one file may round what another states. */
const SAME_SETTING_STOPS = 0.1;

/** More of a region clipped than this is worth telling. */
const CLIPPED_SHARE = 0.01;

/** A rendered tone within this of middle grey, in stops, tells where the rendering puts middle grey. */
const NEAR_MIDDLE_STOPS = 1;

/** Standard uncertainty of a rendered middle grey at it, and for every stop from it; our judgement. */
const AT_MIDDLE = 0.05;
const PER_STOP = 0.15;

/** What of a row tells whether it is one of a pair: a graded row will do, and so does this part of it. */
export type ShotRow = Pick<FrameResult, "file" | "basis" | "fall" | "clipped" | "region"> & {
  /** Settings, time and processing of the record; null where there is no record. */
  readonly exposure: Pick<
    Exposure,
    "aperture" | "shutter" | "iso" | "capturedAt" | "composite" | "customRendered"
  > | null;
  /** Middle grey of a raw file; null for a rendered one. */
  readonly sensor: Pick<SensorResult, "middleGrey"> | null;
};

/**
 * Passes graded rows through, and adds to the second row of a raw and rendered pair what the two say together.
 *
 * A pair is one raw and one rendered file of the same folder and stem, both of which record the same
 * settings and time. Rows keep their order; none is held back.
 *
 * @param rows - graded rows in the order of a run
 * @param files - the rows' files, where they are known beforehand: what identifies a pair is then kept only while another
 *   row of its stem is to come, so that memory does not grow with the run
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

/** Stems that several files share, with the number of files. */
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
  // Stops of the picture, this near to middle grey: the usual contrast turns them into light.
  const stops = raw.fall.stops - shown / RENDERED_CONTRAST;
  return {
    shareOfSaturation: raw.sensor.middleGrey.shareOfSaturation * exp2(stops),
    stopsFromAssumed: stops,
    uncertainty: hypot(AT_MIDDLE, PER_STOP * Math.abs(shown)),
  };
}

function shotOf(row: FrameResult): ShotRow {
  const { file, basis, fall, clipped, region, exposure, sensor } = row;
  return {
    ...{ file, basis, fall, clipped, region },
    exposure: exposure && tellingOf(exposure),
    sensor: sensor && { middleGrey: sensor.middleGrey },
  };
}

function tellingOf(exposure: Exposure): ShotRow["exposure"] {
  const { aperture, shutter, iso, capturedAt, composite, customRendered } = exposure;
  return { aperture, shutter, iso, capturedAt, composite, customRendered };
}

/**
 * Whether two files are of one shot: both record aperture, time, ISO and the second of capture, and agree in each.
 *
 * Where one is missing they are no pair: cameras start again from 0001, so names alone can coincide.
 */
function isSameShot(a: Pick<ShotRow, "exposure">, b: Pick<ShotRow, "exposure">): boolean {
  return agreements(a, b).every((agree) => agree === true);
}

/** Whether nothing that both files record differs: enough where their pixels are compared next. */
export function maybeSameShot(a: Pick<ShotRow, "exposure">, b: Pick<ShotRow, "exposure">): boolean {
  return !agreements(a, b).includes(false);
}

/** Whether two files agree in each setting and in time; null where one of them does not record it. */
function agreements(
  a: Pick<ShotRow, "exposure">,
  b: Pick<ShotRow, "exposure">,
): (boolean | null)[] {
  const settings = (["aperture", "shutter", "iso"] as const).map((setting) => {
    const [one, other] = [a, b].map(({ exposure }) => exposure?.[setting].value ?? null);
    return one && other ? Math.abs(log2(one / other)) <= SAME_SETTING_STOPS : null;
  });
  const [one, other] = [a, b].map(({ exposure }) => exposure?.capturedAt.value?.slice(0, 19));
  return [...settings, one && other ? one === other : null];
}

/** A file's path without its extension, in lower case. */
export function stemOf(file: string): string {
  return file.replace(/\.[^./]*$/, "").toLowerCase();
}
