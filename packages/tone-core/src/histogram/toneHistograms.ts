import { ToneError } from "../errors.ts";
import { exp2 } from "../exact/exactMath.ts";
import { expectFinite, expectPositive, expectWhole } from "../expectNumber.ts";
import { expectRaster } from "../raster/expectRaster.ts";
import type { ToneChannel, ToneRaster } from "../raster/toneRaster.ts";
import type { Spans } from "../region/rasteriseRegion.ts";
import { expectTally } from "./expectTally.ts";
import { requireInside } from "./requireInside.ts";
import { firstBinFrom, type ToneTally } from "./toneTally.ts";

/**
 * Counts between edges: `counts[i]` pixels lie in [edges[i], edges[i + 1]).
 *
 * Those made of a tally part its bins, and a bin is counted whole: pixels within half a bin of an edge, 0.0015 stop at most,
 * may stand on its other side. Where an edge is also one of bins, none do.
 */
export interface Histogram {
  /** Ascending, one more than there are counts. */
  readonly edges: readonly number[];
  /** Pixels between one edge and the next. */
  readonly counts: readonly number[];
  /** Pixels below the first edge. */
  readonly below: number;
  /** Pixels at or above the last edge. */
  readonly above: number;
}

/** Counts by stored code, of one channel. */
export interface CodeHistogram {
  /** The channel's name. */
  readonly name: string;
  /** Pixels by code; 16-bit codes are gathered by their upper eight bits, so there are always 256 counts. */
  readonly counts: readonly number[];
}

/** Default number of cells into which {@link linearHistogram} divides full scale. */
const LINEAR_CELLS = 256;

/** Cells that a histogram may have. */
const MOST_CELLS = 65536;

/** Default number of cells per stop in {@link stopHistogram}: thirds, the step in which cameras are set. */
const CELLS_PER_STOP = 3;

/**
 * Pixels by linear luminance, in equal steps from black to full scale: what light did, with no curve in between.
 *
 * Exact for 2, 4, 8 ... 1024 cells, whose edges are edges of the tally's bins; for another count as {@link Histogram} says.
 * Exact is meant of luminance as the tally has it, in whole parts of 2^-30 of full scale.
 *
 * @param tally - from `tallyTone`; of no pixel all counts are 0
 * @param cells - how many equal steps from 0 to 1, a whole number from 1 to 65536
 * @returns edges in relative luminance; `above` holds what is beyond full scale (white-balanced sensor highlights). White
 *   itself is in the last cell, with what is less than 1/512 above it
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for another count of cells
 *
 * @example
 * ```ts
 * linearHistogram(tally).counts.length; // => 256
 * ```
 */
export function linearHistogram(tally: ToneTally, cells: number = LINEAR_CELLS): Histogram {
  expectTally(tally);
  expectWhole("the count of cells", cells, 1, MOST_CELLS);
  // The last edge is a hair above 1, so that display white is in the last cell and not beyond it.
  const edges = Array.from({ length: cells + 1 }, (_, i) => (i === cells ? 1 + 1e-9 : i / cells));
  const firsts = edges.map((edge) => firstBinFrom(tally, edge));
  firsts[cells] = firstBinFrom(tally, 1) + 1;
  return { edges, ...countBetween(tally, firsts) };
}

/**
 * Pixels by stops from middle grey.
 *
 * Edges are kept as {@link Histogram} says.
 *
 * @param tally - from `tallyTone`; of no pixel all counts are 0
 * @param middleGrey - its relative luminance on the tally's scale, > 0
 * @param range - the lowest and highest stop, in that order and a whole count of cells apart; default -8 to +4
 * @param cellsPerStop - a whole number from 1 to 1000; default 3
 * @returns edges in stops; `below` holds what is darker, black included
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for anything else, or more than 65536 cells
 *
 * @example
 * ```ts
 * stopHistogram(tally, 0.18).edges[0]; // => -8
 * ```
 */
export function stopHistogram(
  tally: ToneTally,
  middleGrey: number,
  range: readonly [number, number] = [-8, 4],
  cellsPerStop: number = CELLS_PER_STOP,
): Histogram {
  expectTally(tally);
  expectPositive("middle grey", middleGrey);
  const cells = cellsIn(range, expectWhole("cells to a stop", cellsPerStop, 1, 1000));
  const stops = Array.from({ length: cells + 1 }, (_, i) => range[0] + i / cellsPerStop);
  const firsts = stops.map((stop) =>
    firstBinFrom(tally, expectPositive("luminance at an edge", middleGrey * exp2(stop))),
  );
  return { edges: stops, ...countBetween(tally, firsts) };
}

/**
 * Pixels by the encoded code that a grey of the same luminance would have: the picture's own histogram of brightness.
 *
 * Greys of an 8-bit picture are on their own codes; other pixels as {@link Histogram} says.
 *
 * @param tally - from `tallyTone`; of no pixel all counts are 0
 * @param linearise - from encoded [0, 1] to relative luminance, never falling
 * @returns 256 counts; edges are codes 0 to 256, each count covering the luminances that round to its code
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for a curve that falls, or gives what is not finite
 *
 * @example
 * ```ts
 * encodedHistogram(tally, SRGB.linearise).counts[118]; // pixels as light as middle grey
 * ```
 */
export function encodedHistogram(
  tally: ToneTally,
  linearise: (encoded: number) => number,
): Histogram {
  expectTally(tally);
  // A code begins half a code below itself; the ends take what is left.
  const lights = Array.from({ length: 255 }, (_, i) =>
    expectFinite("luminance of a code", linearise((i + 0.5) / 255)),
  );
  if (lights.some((light, i) => light < (lights[i - 1] ?? light))) {
    throw new ToneError("TONE_OUT_OF_RANGE", "Expected a curve that never falls but received one");
  }
  const firsts = lights.map((light) => firstBinFrom(tally, light));
  const { counts, below, above } = countBetween(tally, firsts);
  return {
    edges: Array.from({ length: 257 }, (_, i) => i),
    counts: [below, ...counts, above],
    below: 0,
    above: 0,
  };
}

/**
 * Pixels by stored code for every channel, exactly as the file has them.
 *
 * @param raster - the stored pixels
 * @param spans - the region's pixels
 * @returns one histogram of 256 counts a channel; of no pixel all counts are 0
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` when a run leaves the raster or the raster's parts do not fit together
 *
 * @example
 * ```ts
 * codeHistograms(raster, spans)[0]?.name; // "red"
 * ```
 */
export function codeHistograms(raster: ToneRaster, spans: Spans): CodeHistogram[] {
  expectRaster(raster);
  expectWhole("the raster's count of channels", raster.channels.length, 0, raster.stride);
  requireInside(spans, raster);
  const shift = 8 * raster.samples.BYTES_PER_ELEMENT - 8;
  return raster.channels.map(({ name }: ToneChannel, channel) => {
    const counts = new Uint32Array(256);
    for (let i = 0; i < spans.length; i += 3) {
      const row = (spans[i] as number) * raster.width;
      const end = (row + (spans[i + 2] as number)) * raster.stride;
      const start = (row + (spans[i + 1] as number)) * raster.stride;
      for (let at = start + channel; at < end; at += raster.stride) {
        (counts[(raster.samples[at] as number) >>> shift] as number)++;
      }
    }
    return { name, counts: Array.from(counts) };
  });
}

/** Cells of a range of stops. */
function cellsIn([lowest, highest]: readonly [number, number], cellsPerStop: number): number {
  const cells =
    (expectFinite("highest stop", highest) - expectFinite("lowest stop", lowest)) * cellsPerStop;
  const whole = Math.round(cells);
  const isWhole = Math.abs(cells - whole) < 1e-9;
  return expectWhole("cells between two stops", isWhole ? whole : cells, 1, MOST_CELLS);
}

/** Sorts a tally's bins into cells, of which each begins at a bin and ends where the next begins. */
function countBetween(
  { bins }: ToneTally,
  firsts: readonly number[],
): Pick<Histogram, "counts" | "below" | "above"> {
  const between = (from: number, to: number): number => {
    let pixels = 0;
    for (let bin = from; bin < to; bin++) pixels += bins[bin] as number;
    return pixels;
  };
  return {
    counts: firsts.slice(1).map((end, i) => between(firsts[i] as number, end)),
    below: between(0, firsts[0] as number),
    above: between(firsts.at(-1) as number, bins.length),
  };
}
