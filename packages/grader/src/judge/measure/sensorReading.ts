import {
  codeCounts,
  ERROR_BUDGET,
  log2,
  type Region,
  rasteriseRegion,
  type ToneChannel,
} from "@tonefall/tone-core";
import type { SensorResult } from "../../model/result.ts";
import type { Frame } from "../../picture/frame.ts";
import { headroom } from "./headroom.ts";
import { sensorStatistics } from "./sensorStatistics.ts";

/** Share of a channel's samples that may clip before a frame counts as clipped: specks of glint do not count. */
const SPECKS = 0.001;

/** A mosaic of more sites than this (X-Trans has 36) is reported by colour, not by site. */
const MOST_SITES_APART = 4;

/**
 * What only a sensor's own values can say: clipping channel by channel, and how much more light there was room for.
 *
 * @param frame - any frame
 * @param region - the subject, in fractions of the upright picture
 * @param options - `histograms` adds the channels' histograms
 * @param middleGreyUncertainty - one standard deviation of the frame's middle grey, stops
 * @returns null for a rendered picture
 */
export function sensorReading(
  frame: Frame,
  region: Region,
  options: { readonly histograms: boolean },
  middleGreyUncertainty: number = ERROR_BUDGET.raw.middleGrey,
): SensorResult | null {
  const { sensor } = frame;
  if (!sensor) return null;
  const whole = region.shape === "whole";
  const ofRegion = whole ? sensor.histograms : codeCounts(frame, rasteriseRegion(region, frame));
  const channels = joined(frame.channels, sensor.histograms, ofRegion, sensor);
  const statistics = sensorStatistics(
    channels.map(({ frameCounts }) => frameCounts),
    channels,
    channels.map(({ black }) => black),
    sensor.noiseFloor ? channels.map(({ noise }) => noise as number) : null,
  );
  const { kind, pattern } = sensor.filters;
  return {
    filters: { kind, pattern },
    blackFrom: sensor.blackFrom,
    whiteFrom: sensor.whiteFrom,
    asShotMultipliers: sensor.asShotMultipliers,
    baselineExposureStops: sensor.baselineExposureStops,
    middleGrey: {
      shareOfSaturation: frame.middleGrey,
      stopsBelowSaturation: -log2(frame.middleGrey),
      uncertainty: middleGreyUncertainty,
    },
    channels: statistics.map(({ linear, stops, clipped, nearClipping, ...rest }, i) => ({
      ...rest,
      blackLevel: channels[i]?.black as number,
      whiteLevel: channels[i]?.clipCode as number,
      clipped,
      clippedShare: rest.samples === 0 ? 0 : clipped / rest.samples,
      nearClipping,
      ...(options.histograms ? { histograms: { linear, stopsBelowSaturation: stops } } : {}),
    })),
    roomAboveRegion: headroom(
      channels.map(({ regionCounts }) => regionCounts),
      channels,
    ),
    roomAboveFrame: headroom(
      channels.map(({ frameCounts }) => frameCounts),
      channels,
      { share: SPECKS },
    ),
  };
}

interface JoinedChannel extends Pick<ToneChannel, "name" | "clipCode" | "crushCode"> {
  readonly black: number;
  readonly noise: number | null;
  readonly frameCounts: Uint32Array;
  readonly regionCounts: Uint32Array;
}

/** Channels as they are reported: each site of a small pattern, the sites of one colour together in a large one. */
function joined(
  channels: readonly ToneChannel[],
  frameCounts: readonly Uint32Array[],
  regionCounts: readonly Uint32Array[],
  { blackLevels, noiseFloor }: NonNullable<Frame["sensor"]>,
): JoinedChannel[] {
  const byName = new Map<string, JoinedChannel>();
  for (const [i, { name, clipCode, crushCode }] of channels.entries()) {
    const key = channels.length > MOST_SITES_APART ? (name.split(" ")[0] as string) : name;
    const one: JoinedChannel = {
      name: key,
      clipCode,
      crushCode,
      black: blackLevels[i] as number,
      noise: noiseFloor?.[i] ?? null,
      frameCounts: frameCounts[i] as Uint32Array,
      regionCounts: regionCounts[i] as Uint32Array,
    };
    const other = byName.get(key);
    byName.set(
      key,
      other
        ? {
            ...other,
            frameCounts: sum(other.frameCounts, one.frameCounts),
            regionCounts: sum(other.regionCounts, one.regionCounts),
          }
        : one,
    );
  }
  return [...byName.values()];
}

function sum(a: Uint32Array, b: Uint32Array): Uint32Array {
  return a.map((count, code) => count + (b[code] as number));
}
