import {
  codeQuantumStops,
  ERROR_BUDGET,
  errorUncertainty,
  exp2,
  hypot,
  renderedUncertainty,
  samplingUncertainty,
} from "@tonefall/tone-core";
import type { Basis, Fall } from "../../model/result.ts";
import type { Frame } from "../../picture/frame.ts";

/** What was measured of a kit, one standard deviation each, stops. */
export interface MeasuredKit {
  readonly middleGrey: number;
  /** Of the curve where the tone fell. */
  readonly curve: number;
}

/** One standard deviation of a fall, and the parts it is the root of the sum of squares of; all in stops. */
export interface Uncertainty {
  readonly total: number;
  readonly parts: Readonly<Record<string, number>>;
}

/**
 * How well a fall is known.
 *
 * A rendered claim carries the measuring error alone: the picture is what it is. A scene claim also carries where middle
 * grey sits, the unknown tone curve and the spread of the region: by the error budget of `tone-core`, or, where the curve
 * of a rendering is unknown, by its `sceneLight`.
 *
 * @param fall - on the basis of the claim
 * @param basis - of the claim
 * @param frame - the decoded frame; null for a claim on settings alone
 * @param kit - what was measured of the frame's kit: it replaces the budget's guesses in a scene claim
 */
export function fallUncertainty(
  fall: Fall,
  basis: Basis,
  frame: Frame | null,
  kit: MeasuredKit | null = null,
): Uncertainty {
  if (basis === "settings" || !frame) {
    // What a camera says of its own metering: unknown is where it puts middle grey, and how exact its marks are.
    const { middleGrey, settingsPair } = ERROR_BUDGET["unknown-jpeg"];
    return { total: hypot(middleGrey, settingsPair), parts: { middleGrey, settingsPair } };
  }
  if (basis === "rendered") {
    const measuring = renderedUncertainty(codeQuantum(fall, frame));
    return { total: measuring, parts: { measuring } };
  }
  const spread = Math.abs(fall.stops - fall.median) / 2;
  if (kit) {
    const { middleGrey, curve } = kit;
    const parts = { middleGrey, curve, region: Math.max(ERROR_BUDGET.response.region, spread) };
    return { total: hypot(...Object.values(parts)), parts };
  }
  return errorUncertainty({
    kit: frame.basis === "scene" ? "raw" : "unknown-jpeg",
    stopsFromMiddle: fall.stops,
    regionNoise: spread,
  });
}

/**
 * How well a fall is known that a part of a region's pixels stands for.
 *
 * @param pixels - of the region in the whole picture
 */
export function withSampling({ total, parts }: Uncertainty, pixels: number): Uncertainty {
  const sampling = samplingUncertainty(pixels);
  return { total: hypot(total, sampling), parts: { ...parts, sampling } };
}

/** The size of one code where the tone fell. */
function codeQuantum(fall: Fall, { transfer, bits, middleGrey }: Frame): number {
  if (!transfer) return 0;
  return codeQuantumStops(Math.min(1, middleGrey * exp2(fall.stops)), transfer, bits);
}
