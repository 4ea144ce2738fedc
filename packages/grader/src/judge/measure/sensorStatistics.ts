import type { ToneChannel } from "@tonefall/tone-core";
import { exp2, log2 } from "@tonefall/tone-core";

/** What one channel of a sensor recorded, on its own codes: before white balance, without a curve. */
export interface ChannelStatistics {
  readonly channel: string;
  readonly samples: number;
  /** Samples at or above the white level. */
  readonly clipped: number;
  /** Samples less than {@link NEAR_CLIPPING_STOPS} below the white level, clipped ones left out. */
  readonly nearClipping: number;
  /** Share of samples whose signal is below the noise at black, 0 to 1; null where that noise is not known. */
  readonly belowNoiseFloor: number | null;
  /** Counts in equal steps from black to white: 256 of them; codes below black are in the first. */
  readonly linear: readonly number[];
  /**
   * Counts by stops below saturation in thirds: `stops[0]` is the third of a stop just below white, the last holds all
   * that is darker, codes at or below black included. Clipped samples are in none.
   */
  readonly stops: readonly number[];
}

/** Samples this near to white are close to clipping: a sixth of a stop, half the smallest step of most cameras. */
export const NEAR_CLIPPING_STOPS: number = 1 / 6;

/** Cells of the linear histogram. */
const LINEAR_CELLS = 256;

/** Cells of the histogram in stops: sixteen stops in thirds, more than any sensor holds. */
const STOP_CELLS = 48;

/**
 * Statistics of the sensor's own values, channel by channel.
 *
 * @param histograms - counts by code, one a channel, as `codeCounts` gives them
 * @param channels - the raster's channels
 * @param blackLevels - black of each channel, in codes
 * @param noiseFloor - standard deviation of each channel at black, in codes; null when not known
 */
export function sensorStatistics(
  histograms: readonly Uint32Array[],
  channels: readonly Pick<ToneChannel, "name" | "clipCode">[],
  blackLevels: readonly number[],
  noiseFloor: readonly number[] | null,
): readonly ChannelStatistics[] {
  return channels.map(({ name, clipCode }, i) => {
    const black = blackLevels[i] as number;
    return channelStatistics(
      name,
      histograms[i] as Uint32Array,
      black,
      clipCode,
      noiseFloor ? black + (noiseFloor[i] as number) : null,
    );
  });
}

function channelStatistics(
  channel: string,
  histogram: Uint32Array,
  black: number,
  white: number,
  noiseCode: number | null,
): ChannelStatistics {
  const nearCode = black + (white - black) * exp2(-NEAR_CLIPPING_STOPS);
  const linear = new Array<number>(LINEAR_CELLS).fill(0);
  const stops = new Array<number>(STOP_CELLS).fill(0);
  let samples = 0;
  let clipped = 0;
  let nearClipping = 0;
  let belowNoise = 0;
  for (let code = 0; code < histogram.length; code++) {
    const count = histogram[code] as number;
    if (count === 0) continue;
    samples += count;
    const signal = (code - black) / (white - black);
    add(linear, Math.floor(signal * LINEAR_CELLS), count);
    if (noiseCode !== null && code < noiseCode) belowNoise += count;
    if (code >= white) {
      clipped += count;
      continue;
    }
    if (code >= nearCode) nearClipping += count;
    const below = signal > 0 ? Math.floor(-3 * log2(signal)) : STOP_CELLS;
    add(stops, below, count);
  }
  const belowNoiseFloor = noiseCode === null || samples === 0 ? null : belowNoise / samples;
  return { channel, samples, clipped, nearClipping, belowNoiseFloor, linear, stops };
}

/** Adds to a cell; what lies beyond the first or the last counts there. */
function add(cells: number[], cell: number, count: number): void {
  const within = Math.min(cells.length - 1, Math.max(0, cell));
  cells[within] = (cells[within] as number) + count;
}
