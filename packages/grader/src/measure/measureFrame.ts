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
  stopHistogram,
  type ToneTally,
} from "@tonefall/tone-core";
import type { Frame } from "../decode/frame.ts";
import { GraderError } from "../errors.ts";
import type { FrameHistograms } from "../result.ts";
import { tallyFrame } from "./tallyFrame.ts";

/** A frame's region, measured. */
export interface Measurement {
  readonly statistics: RegionStatistics;
  readonly histograms: FrameHistograms | null;
}

/**
 * Measures a region of a decoded frame.
 *
 * @param frame - from any decoder
 * @param region - in fractions of the upright picture
 * @param options - `histograms` also gathers the region's histograms
 * @throws {@link GraderError} `region-empty` when the region holds no pixel
 */
export function measureFrame(
  frame: Frame,
  region: Region,
  options: { readonly histograms: boolean },
): Measurement {
  const spans = rasteriseRegion(region, frame);
  const tally = tallyFrame(frame, spans);
  if (tally.pixels === 0) {
    throw new GraderError(
      "region-empty",
      tally.transparent > 0
        ? `Every pixel of the region ${regionText(region)} is transparent; choose another`
        : `The region ${regionText(region)} holds no pixel of this ${frame.width} x ${frame.height} picture; make it larger`,
    );
  }
  return {
    statistics: regionStatistics(tally, frame),
    histograms: options.histograms ? histogramsOf(frame, spans, tally) : null,
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
