import { sensorStatistics } from "../../judge/measure/sensorStatistics.ts";
import type { Frame } from "../../picture/frame.ts";

/** A region's and a frame's samples on the sensor's own scale, by colour of filter. */
export type SensorTones = readonly {
  readonly channel: string;
  readonly region: SensorCounts;
  readonly frame: SensorCounts;
}[];

/** Shares of samples, in [0, 1]. */
interface SensorCounts {
  /** By thirds of a stop below saturation, the lightest first. */
  readonly stops: readonly number[];
  readonly clipped: number;
}

/**
 * Histograms of a sensor's own codes: before white balance, without a curve. The sites of one colour are told together.
 *
 * @param regionCounts - counts of the region by code, one histogram a channel
 * @returns null for a rendered picture
 */
export function sensorTones(
  { sensor, channels }: Frame,
  regionCounts: readonly Uint32Array[],
): SensorTones | null {
  if (!sensor) return null;
  const shares = (histograms: readonly Uint32Array[]): Map<string, SensorCounts> => {
    const sums = new Map<string, { stops: number[]; clipped: number; samples: number }>();
    for (const part of sensorStatistics(histograms, channels, sensor.blackLevels, null)) {
      const colour = part.channel.split(" ")[0] as string;
      const sum = sums.get(colour) ?? { stops: part.stops.map(() => 0), clipped: 0, samples: 0 };
      sum.stops = sum.stops.map((count, i) => count + (part.stops[i] as number));
      sum.clipped += part.clipped;
      sum.samples += part.samples;
      sums.set(colour, sum);
    }
    return new Map(
      [...sums].map(([colour, { stops, clipped, samples }]) => [
        colour,
        {
          stops: stops.map((count) => (samples === 0 ? 0 : count / samples)),
          clipped: samples === 0 ? 0 : clipped / samples,
        },
      ]),
    );
  };
  const region = shares(regionCounts);
  return [...shares(sensor.histograms)].map(([channel, frame]) => ({
    channel,
    frame,
    region: region.get(channel) as SensorCounts,
  }));
}
