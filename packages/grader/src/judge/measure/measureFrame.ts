import {
  codeHistograms,
  encodedHistogram,
  linearHistogram,
  type Region,
  type RegionStatistics,
  rasteriseRegion,
  regionStatistics,
  regionText,
  type Spans,
  shownText,
  spanPixels,
  stopHistogram,
  type ToneTally,
} from "@tonefall/tone-core";
import { GraderError } from "../../model/errors.ts";
import type { Precision, Sampling } from "../../model/precision.ts";
import type { FrameHistograms } from "../../model/result.ts";
import type { Frame } from "../../picture/frame.ts";
import { samplingOf } from "./sampling.ts";
import { tallyFrame } from "./tallyFrame.ts";

/** A frame's region, measured. */
export interface Measurement {
  readonly statistics: RegionStatistics;
  /** Pixels of the region in the whole picture. */
  readonly pixels: number;
  /** What of the statistics was sampled; null when every pixel was counted. */
  readonly sampling: Sampling | null;
  readonly histograms: FrameHistograms | null;
}

/**
 * Measures a region of a decoded frame.
 *
 * @param frame - from any decoder
 * @param region - in fractions of the upright picture
 * @param options - `histograms` also gathers the region's histograms; `precision` is exact unless it says otherwise
 * @throws {@link GraderError} `region-empty` when the region holds no pixel
 */
export function measureFrame(
  frame: Frame,
  region: Region,
  options: { readonly histograms: boolean; readonly precision?: Precision },
): Measurement {
  const spans = rasteriseRegion(region, frame);
  const { histograms, precision = "exact" } = options;
  const tally = tallyFrame(frame, spans, { lattice: precision !== "exact" });
  if (tally.pixels === 0) {
    throw new GraderError(
      "region-empty",
      tally.transparent > 0
        ? `Every pixel of the region ${shownText(regionText(region))} is transparent; choose another`
        : `The region ${shownText(regionText(region))} holds no pixel of this ${frame.width} x ${frame.height} picture; make it larger`,
    );
  }
  const statistics = regionStatistics(tally, frame);
  const pixels = frame.sampledFrom
    ? spanPixels(rasteriseRegion(region, { ...frame, ...frame.sampledFrom }))
    : statistics.pixels;
  return {
    statistics,
    pixels,
    sampling: samplingOf(frame, statistics, pixels),
    histograms: histograms ? histogramsOf(frame, spans, tally) : null,
  };
}

function histogramsOf(frame: Frame, spans: Spans, tally: ToneTally): FrameHistograms {
  return {
    linear: linearHistogram(tally),
    stops: stopHistogram(tally, frame.middleGrey),
    encoded: frame.transfer ? encodedHistogram(tally, frame.transfer.linearise) : null,
    channels: codeHistograms(frame, spans),
  };
}
