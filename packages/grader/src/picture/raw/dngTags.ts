import type { TiffDirectory } from "@tonefall/exif-reader";
import { exp2, log2 } from "@tonefall/tone-core";
import type { SensorRectangle } from "../rawSensor.ts";

/** A repeat pattern of values, row by row, `planes` values to a site. */
export interface RepeatPattern {
  readonly rows: number;
  readonly columns: number;
  readonly values: readonly number[];
}

/** Black as a file states it: a pattern that repeats from the active area's corner, and what is added to it. */
export interface StatedBlack extends RepeatPattern {
  /** Added to every sample of a column of the active area; null when nothing is. */
  readonly columnDeltas: readonly number[] | null;
  /** Added to every sample of a row of the active area. */
  readonly rowDeltas: readonly number[] | null;
}

/**
 * What a DNG says of its own raw picture. Levels count after the linearisation table.
 *
 * @see [DNG, chapter 5 and the tag pages]
 */
export interface DngTags {
  /** Samples across and down of the whole picture, borders included. */
  readonly width: number;
  readonly height: number;
  /** Samples to a pixel: 1 for a mosaic or monochrome sensor, 3 for linear DNG. */
  readonly planes: number;
  readonly compression: number;
  /** Where each strip or tile begins in the file. */
  readonly partOffsets: readonly number[];
  readonly floatingPoint: boolean;
  /** Colours of the filter mosaic (0 red, 1 green, 2 blue), from the active area's corner; null when there is no mosaic. */
  readonly mosaic: RepeatPattern | null;
  readonly activeArea: SensorRectangle;
  /** The picture proper, in sensor samples. */
  readonly crop: SensorRectangle;
  readonly maskedAreas: readonly SensorRectangle[];
  readonly black: StatedBlack;
  /** Whether the file states its black level; where it does not, the specification's 0 holds. */
  readonly blackStated: boolean;
  /** White level of each plane. */
  readonly white: readonly number[];
  /** Camera neutral of each colour, as shot; null when the file does not state it so. */
  readonly asShotNeutral: readonly number[] | null;
  /** Stops that a renderer is to add. Reported, never applied. */
  readonly baselineExposureStops: number | null;
  /** Variance of read noise of each plane (or of all), relative to white; null when not stated. */
  readonly readNoiseVariance: readonly number[] | null;
}

const MOSAIC = 32803;
const LINEAR = 34892;

/**
 * The raw picture's tags of a DNG, or null when the file is none.
 *
 * The raw picture is the full-resolution directory (subfile type 0) of a mosaic or linear raw, wherever it stands: the
 * first directory is often a preview, with its own size and without levels.
 */
export function dngTags(directories: readonly TiffDirectory[]): DngTags | null {
  const main = directories[0];
  if (!main?.numbers(50706)) return null;
  const raw = directories.find(
    (directory) =>
      (directory.numbers(254)?.[0] ?? 0) === 0 &&
      [MOSAIC, LINEAR].includes(directory.numbers(262)?.[0] ?? 0),
  );
  const width = raw?.numbers(256)?.[0];
  const height = raw?.numbers(257)?.[0];
  if (!raw || !width || !height) return null;

  const planes = raw.numbers(277)?.[0] ?? 1;
  const bits = raw.numbers(258)?.[0] ?? 16;
  const whole = { left: 0, top: 0, width, height };
  const stated = raw.numbers(50829);
  const activeArea = stated ? within(edges(stated), whole) : whole;
  return {
    width,
    height,
    planes,
    compression: raw.numbers(259)?.[0] ?? 1,
    partOffsets: raw.numbers(324) ?? raw.numbers(273) ?? [],
    floatingPoint: raw.numbers(339)?.[0] === 3,
    mosaic: raw.numbers(262)?.[0] === MOSAIC ? mosaicPattern(raw) : null,
    activeArea,
    crop: cropOf(raw, activeArea),
    maskedAreas: maskedAreas(raw.numbers(50830) ?? []),
    black: blackOf(raw, planes),
    blackStated: raw.numbers(50714) !== null,
    white: perPlane(raw.numbers(50717) ?? [exp2(linearBits(raw, bits)) - 1], planes),
    asShotNeutral: positive(main.numbers(50728) ?? raw.numbers(50728)),
    baselineExposureStops: finite((main.numbers(50730) ?? raw.numbers(50730))?.[0]),
    readNoiseVariance: readNoise(raw.numbers(51041) ?? main.numbers(51041)),
  };
}

function mosaicPattern(raw: TiffDirectory): RepeatPattern | null {
  const [rows = 0, columns = 0] = raw.numbers(33421) ?? [];
  const values = raw.numbers(33422);
  return values && rows * columns > 0 && values.length === rows * columns
    ? { rows, columns, values }
    : null;
}

function edges([top = 0, left = 0, bottom = 0, right = 0]: readonly number[]): SensorRectangle {
  return { left, top, width: right - left, height: bottom - top };
}

function cropOf(raw: TiffDirectory, area: SensorRectangle): SensorRectangle {
  const [across = 0, down = 0] = raw.numbers(50719) ?? [];
  const [width = area.width, height = area.height] = raw.numbers(50720) ?? [];
  const crop = {
    left: area.left + Math.round(across),
    top: area.top + Math.round(down),
    width: Math.round(width),
    height: Math.round(height),
  };
  return within(crop, area);
}

/** The part of a rectangle that lies inside another: a crop whose origin was forgotten may leave its area. */
function within(inner: SensorRectangle, outer: SensorRectangle): SensorRectangle {
  const left = Math.max(inner.left, outer.left);
  const top = Math.max(inner.top, outer.top);
  return {
    left,
    top,
    width: Math.max(0, Math.min(inner.left + inner.width, outer.left + outer.width) - left),
    height: Math.max(0, Math.min(inner.top + inner.height, outer.top + outer.height) - top),
  };
}

function maskedAreas(values: readonly number[]): SensorRectangle[] {
  const areas: SensorRectangle[] = [];
  for (let i = 0; i + 4 <= values.length; i += 4) areas.push(edges(values.slice(i, i + 4)));
  return areas;
}

function blackOf(raw: TiffDirectory, planes: number): StatedBlack {
  const [rows = 1, columns = 1] = raw.numbers(50713) ?? [];
  const stated = raw.numbers(50714) ?? [0];
  // A list that does not fit its pattern is taken as one level a plane.
  const fits = stated.length === rows * columns * planes;
  return {
    ...(fits
      ? { rows, columns, values: stated }
      : { rows: 1, columns: 1, values: perPlane(stated, planes) }),
    columnDeltas: nonZero(raw.numbers(50715)),
    rowDeltas: nonZero(raw.numbers(50716)),
  };
}

/** Bits that samples have after the linearisation table. */
function linearBits(raw: TiffDirectory, bits: number): number {
  const table = raw.numbers(50712);
  return table ? Math.ceil(log2(Math.max(...table.slice(-1), 1) + 1)) : bits;
}

function perPlane(values: readonly number[], planes: number): number[] {
  return Array.from({ length: planes }, (_, i) => values[Math.min(i, values.length - 1)] as number);
}

function nonZero(values: readonly number[] | null): readonly number[] | null {
  return values?.some((value) => value !== 0) ? values : null;
}

function positive(values: readonly number[] | null): readonly number[] | null {
  return values?.every((value) => value > 0 && Number.isFinite(value)) ? values : null;
}

function finite(value: number | undefined): number | null {
  return value !== undefined && Number.isFinite(value) ? value : null;
}

function readNoise(pairs: readonly number[] | null): number[] | null {
  const offsets = pairs?.filter((_, i) => i % 2 === 1) ?? [];
  return offsets.length > 0 && offsets.every((value) => value >= 0) ? offsets : null;
}
