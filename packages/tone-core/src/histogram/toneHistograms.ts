import { exp2 } from "../exact/exactMath.ts";
import type { ToneChannel, ToneRaster } from "../raster/toneRaster.ts";
import type { Spans } from "../region/rasteriseRegion.ts";
import { binLuminance, type ToneTally } from "./toneTally.ts";

/** Counts between edges: `counts[i]` pixels lie in [edges[i], edges[i + 1]). */
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

/** Cells that {@link linearHistogram} cuts full scale into unless told. */
const LINEAR_CELLS = 256;

/** Cells to a stop that {@link stopHistogram} has unless told: thirds, the step that cameras are set in. */
const CELLS_PER_STOP = 3;

/**
 * Pixels by linear luminance, in equal steps from black to full scale: what light did, with no curve in between.
 *
 * @param tally - from `tallyTone`
 * @param cells - how many equal steps from 0 to 1
 * @returns edges in relative luminance; `above` holds what is beyond full scale (white-balanced sensor highlights)
 *
 * @example
 * ```ts
 * linearHistogram(tally).counts.length; // => 256
 * ```
 */
export function linearHistogram(tally: ToneTally, cells: number = LINEAR_CELLS): Histogram {
  // The last edge is a hair above 1, so that display white is in the last cell and not beyond it.
  const edges = Array.from({ length: cells + 1 }, (_, i) => (i === cells ? 1 + 1e-9 : i / cells));
  // These edges are edges of bins too, so a bin's lower edge sorts it exactly.
  return countBetween(tally, edges, 0);
}

/**
 * Pixels by stops from middle grey.
 *
 * @param tally - from `tallyTone`
 * @param middleGrey - its relative luminance on the tally's scale
 * @param range - the lowest and highest stop; default -8 to +4
 * @param cellsPerStop - default 3
 * @returns edges in stops; `below` holds what is darker, black included
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
  const [lowest, highest] = range;
  const cells = Math.round((highest - lowest) * cellsPerStop);
  const stops = Array.from({ length: cells + 1 }, (_, i) => lowest + i / cellsPerStop);
  const { counts, below, above } = countBetween(
    tally,
    stops.map((stop) => middleGrey * exp2(stop)),
    0.5,
  );
  return { edges: stops, counts, below, above };
}

/**
 * Pixels by the encoded code that a grey of the same luminance would have: the picture's own histogram of brightness.
 *
 * @param tally - from `tallyTone`
 * @param linearise - from encoded [0, 1] to relative luminance, ascending
 * @returns 256 counts; edges are codes 0 to 256, each count covering the luminances that round to its code
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
  // A code begins half a code below itself; the ends take what is left.
  const lights = Array.from({ length: 255 }, (_, i) => linearise((i + 0.5) / 255));
  const { counts, below, above } = countBetween(tally, lights, 0.5);
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
 * @returns one histogram of 256 counts a channel
 *
 * @example
 * ```ts
 * codeHistograms(raster, spans)[0]?.name; // "red"
 * ```
 */
export function codeHistograms(raster: ToneRaster, spans: Spans): CodeHistogram[] {
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

/** Sorts a tally's bins into cells by a position within each bin; a bin is far narrower than any cell but the deepest. */
function countBetween(tally: ToneTally, edges: readonly number[], part: number): Histogram {
  const counts = edges.slice(1).map(() => 0);
  let below = 0;
  let above = 0;
  let cell = -1;
  for (let bin = 0; bin < tally.bins.length; bin++) {
    const pixels = tally.bins[bin] as number;
    const luminance = bin === 0 ? 0 : binLuminance(tally, bin, part);
    while (cell + 1 < edges.length && luminance >= (edges[cell + 1] as number)) cell++;
    if (pixels === 0) continue;
    if (cell < 0) below += pixels;
    else if (cell === counts.length) above += pixels;
    else counts[cell] = (counts[cell] as number) + pixels;
  }
  return { edges, counts, below, above };
}
