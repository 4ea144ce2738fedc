import { ToneError } from "../errors.ts";
import { exp2 } from "../exact/exactMath.ts";
import { expectFinite, expectPositive, expectWhole } from "../expectNumber.ts";
import { expectRaster } from "../raster/expectRaster.ts";
import type { ToneRaster } from "../raster/toneRaster.ts";
import { type Spans, spanPixels } from "../region/rasteriseRegion.ts";
import { countingKernel } from "./countingKernel.ts";
import { asEightBitRgb, type PixelCounter } from "./eightBitRgb.ts";
import { latticeStep } from "./latticeStep.ts";
import { pixelRuns } from "./pixelRuns.ts";
import { plainRgbCounter } from "./plainRgbCounter.ts";
import { requireInside } from "./requireInside.ts";
import type { RunningTally } from "./runningTally.ts";
import { binOf, emptyBins, type ToneTally, tallyUnit } from "./toneTally.ts";
import { asFourCells, wasmCellCounter } from "./wasmCellCounter.ts";
import { wasmRgbCounter } from "./wasmRgbCounter.ts";

/** How {@link tallyTone} counts. */
export interface TallyOptions {
  /**
   * Index of the alpha sample within a pixel; pixels less than half opaque are left out.
   * @default null (no alpha)
   */
  readonly alphaIndex?: number | null;
  /**
   * The greatest alpha code: 255 or 65535.
   * @default 255
   */
  readonly alphaMax?: number;
  /**
   * Let an even lattice of pixels, about one in nine, stand for the tones of a region of {@link LATTICE_FROM_PIXELS} or
   * more. Clipped and crushed pixels are all counted; so are all tones where pixels are transparent, or where a page may
   * not run WebAssembly.
   * @default false
   */
  readonly lattice?: boolean;
}

/** Pixels from which a region may be counted by a lattice: 4 million. Smaller regions are counted pixel by pixel. */
export const LATTICE_FROM_PIXELS: number = 4e6;

/**
 * Counts the tones of a region in one pass: sum and distribution of luminance, clipped and crushed pixels.
 *
 * Luminance is summed in integers of 2^-30 of full scale, so the mean does not depend on the order or the partition of
 * pixels; the error against real numbers is below 1e-4 stop at code 1 of an 8-bit sRGB picture.
 *
 * @param raster - stored pixels and the tables that give them light
 * @param spans - the region's pixels, from `rasteriseRegion`
 * @returns counts of 0 for a region without pixels
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` when a run leaves the raster, the raster's parts do not fit together, a
 *   table holds what is not light, or there is no such alpha sample
 *
 * @example
 * ```ts
 * tallyTone(raster, rasteriseRegion(SPOT, raster)).pixels; // pixels within the spot
 * ```
 */
export function tallyTone(raster: ToneRaster, spans: Spans, options: TallyOptions = {}): ToneTally {
  validate(raster, spans, options);
  const { alphaIndex = null, alphaMax = 255, lattice = false } = options;
  const unit = unitOf(raster);
  const count: RunningTally = {
    luminance: integerTables(raster, unit),
    bins: emptyBins(),
    sum: 0,
    pixels: 0,
    tonedPixels: 0,
    transparent: 0,
    clippedPixels: 0,
    clippedByChannel: raster.channels.map(() => 0),
    crushedPixels: 0,
  };
  const sparse = lattice && alphaIndex === null && spanPixels(spans) >= LATTICE_FROM_PIXELS;
  const step = sparse ? latticeStep(raster.width) : 1;
  const fast = alphaIndex === null ? fastCounter(raster, count, step) : null;
  const plain = plainCount(raster, { step, alphaIndex, alphaHalf: alphaMax / 2 });
  for (const [from, to] of pixelRuns(spans, raster.width)) {
    // What does not fill the fast counter's steps, at the ends of a run, goes pixel by pixel.
    const { multiple } = fast ?? { multiple: 1 };
    const fastFrom = fast ? Math.min(to, Math.ceil(from / multiple) * multiple) : to;
    const fastTo = fast ? Math.max(fastFrom, Math.floor(to / multiple) * multiple) : to;
    countPixels(plain, count, from, fastFrom);
    fast?.count(fastFrom, fastTo);
    countPixels(plain, count, fastTo, to);
  }
  fast?.finish();
  return {
    pixels: count.pixels,
    transparent: count.transparent,
    tonedPixels: count.tonedPixels,
    luminanceSum: count.sum * unit,
    bins: count.bins,
    unit,
    clippedPixels: count.clippedPixels,
    clippedByChannel: count.clippedByChannel,
    crushedPixels: count.crushedPixels,
  };
}

/** The fast loop for a raster, where there is one. */
function fastCounter(raster: ToneRaster, count: RunningTally, step: number): PixelCounter | null {
  const kernel = countingKernel();
  const cells = kernel && asFourCells(raster);
  if (cells) return wasmCellCounter(kernel, cells, count, step);
  const rgb = asEightBitRgb(raster, count);
  if (!rgb) return null;
  return kernel ? wasmRgbCounter(kernel, rgb, count, step) : plainRgbCounter(rgb, count);
}

/** Which pixels are counted. */
interface CountedPixels {
  /** 1 counts the tone of every pixel, n that of every nth in reading order. */
  readonly step: number;
  /** Null where there is no alpha. */
  readonly alphaIndex: number | null;
  /** Pixels whose alpha code is below this are transparent. */
  readonly alphaHalf: number;
}

/** What {@link countPixels} goes by. */
interface PlainCount extends CountedPixels {
  readonly raster: ToneRaster;
  readonly clipCodes: Int32Array;
  readonly crushCodes: Int32Array;
}

function plainCount(raster: ToneRaster, counted: CountedPixels): PlainCount {
  const { channels } = raster;
  return {
    raster,
    ...counted,
    // A file may state a white beyond all codes, or one between two.
    clipCodes: Int32Array.from(channels, ({ clipCode }) => withinCodes(Math.ceil(clipCode))),
    crushCodes: Int32Array.from(channels, ({ crushCode }) => withinCodes(Math.floor(crushCode))),
  };
}

/**
 * Any number of channels of any depth, with or without alpha: what every faster loop must agree with. It takes its plan
 * as an argument, since the engine reads variables of its own a fifth faster than those of a closure.
 */
function countPixels(plan: PlainCount, count: RunningTally, from: number, to: number): void {
  const { raster, step, alphaIndex, alphaHalf, clipCodes, crushCodes } = plan;
  const { samples, stride } = raster;
  const { bins, luminance: tables, clippedByChannel } = count;
  let sum = 0;
  // The next pixel of the lattice; with a step of 1, every one.
  let toned = Math.ceil(from / step) * step;
  for (let pixel = from; pixel < to; pixel++) {
    const at = pixel * stride;
    if (alphaIndex !== null && (samples[at + alphaIndex] as number) < alphaHalf) {
      count.transparent++;
      toned++;
      continue;
    }
    let clipped = false;
    let crushed = true;
    for (let channel = 0; channel < tables.length; channel++) {
      const code = samples[at + channel] as number;
      if (code >= (clipCodes[channel] as number)) {
        clipped = true;
        (clippedByChannel[channel] as number)++;
      }
      if (code > (crushCodes[channel] as number)) crushed = false;
    }
    count.pixels++;
    if (clipped) count.clippedPixels++;
    else if (crushed) count.crushedPixels++;
    if (pixel !== toned) continue;
    toned += step;
    let luminance = 0;
    for (let channel = 0; channel < tables.length; channel++) {
      luminance += (tables[channel] as Int32Array)[samples[at + channel] as number] as number;
    }
    sum += luminance;
    const bin = binOf(luminance);
    bins[bin] = (bins[bin] as number) + 1;
    count.tonedPixels++;
  }
  count.sum += sum;
}

/** A code, or the nearest that no sample has. */
function withinCodes(code: number): number {
  return Math.min(65536, Math.max(-1, code));
}

/**
 * The unit for the most light that the channels can give together.
 *
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for light that is not finite, or so much of it below black that it has no
 *   integer of 32 bits
 */
function unitOf({ channels }: ToneRaster): number {
  const ends = eachTable(channels, endsOf);
  const greatest = ends.reduce((sum, { most }) => sum + most, 0);
  const unit = expectPositive("the luminance of a table", tallyUnit(greatest > 0 ? greatest : 1));
  const least = ends.reduce((sum, end) => sum + end.least, 0);
  if (!(least / unit >= -(2 ** 31))) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected tables that fall less below black than they rise to white (${greatest}) but received ${least}`,
    );
  }
  return unit;
}

/** The least and the greatest light of a table, zero included. */
function endsOf(luminance: Float64Array): { readonly least: number; readonly most: number } {
  let least = 0;
  let most = 0;
  let sum = 0;
  for (let code = 0; code < luminance.length; code++) {
    const light = luminance[code] as number;
    if (light > most) most = light;
    else if (light < least) least = light;
    sum += light;
  }
  // Anything that is not finite, NaN before all, shows in the sum.
  expectFinite("the luminance of a table", sum);
  return { least, most };
}

function integerTables({ channels }: ToneRaster, unit: number): Int32Array[] {
  return eachTable(channels, (luminance) => integerTable(luminance, unit));
}

/** What is made of every channel's table; the sites of one colour on a sensor share one, of 65,536 codes. */
function eachTable<T>(channels: ToneRaster["channels"], make: (luminance: Float64Array) => T): T[] {
  const made = new Map<Float64Array, T>();
  return channels.map(({ luminance }) => {
    const one = made.get(luminance) ?? make(luminance);
    made.set(luminance, one);
    return one;
  });
}

/** A loop, since `Int32Array.from` takes twenty times as long, and a sensor's tables have 65,536 codes. */
function integerTable(luminance: Float64Array, unit: number): Int32Array {
  const table = new Int32Array(luminance.length);
  for (let code = 0; code < table.length; code++) {
    table[code] = Math.round((luminance[code] as number) / unit);
  }
  return table;
}

function validate(raster: ToneRaster, spans: Spans, options: TallyOptions): void {
  expectRaster(raster);
  const { width, height, samples, stride, channels } = raster;
  const codes = exp2(8 * samples.BYTES_PER_ELEMENT);
  const fits =
    channels.length >= 1 &&
    channels.length <= stride &&
    channels.every(({ luminance }) => luminance.length === codes);
  if (!fits) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected 1 to ${stride} tables of ${codes} codes for a raster of ${width} x ${height} x ${stride} samples but received ${channels.length} of ${channels.map(({ luminance }) => luminance.length).join(", ")}`,
    );
  }
  for (const { clipCode, crushCode } of channels) {
    expectFinite("clip code", clipCode);
    expectFinite("crush code", crushCode);
  }
  const { alphaIndex = null, alphaMax = 255 } = options;
  if (alphaIndex !== null) expectWhole("the alpha sample's index", alphaIndex, 0, stride - 1);
  expectPositive("the greatest alpha code", alphaMax);
  requireInside(spans, raster);
}
