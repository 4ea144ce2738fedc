import type { SpotSettings } from "../judge/metering/meterZones.ts";
import type { NamedKit } from "../kit/kit.ts";
import type { Voice } from "../model/feedback.ts";
import type { Precision } from "../model/precision.ts";
import type { DecodeLimits } from "../picture/decodeLimits.ts";
import type { SeenFrame } from "./seenFrame.ts";
import type { Abortable } from "./untilAborted.ts";

/** How a frame is graded wherever that happens, apart from its brief. */
export interface JudgingOptions extends DecodeLimits, Abortable {
  /**
   * Gather the region's histograms into the result.
   * @default false
   */
  readonly histograms?: boolean;
  /**
   * Add what the picture looks like from far away, by which copies of it are found again.
   * @default false
   */
  readonly likeness?: boolean;
  /**
   * How many pixels are counted. With histograms or a `look`, always all of them.
   * @default "standard"
   */
  readonly precision?: Precision;
  /**
   * Where middle grey sits in raw files, as a share of sensor saturation in (0, 1).
   * @default 10/78
   */
  readonly middleGrey?: number;
  /**
   * Measured kits: a frame of one of them is graded on the scene basis through it, unless its brief asks for another.
   * @default none
   */
  readonly kits?: readonly NamedKit[];
  /**
   * Add what every metering pattern reads, with the spot placed like this; `meterFrame` does so, and checks the spot.
   * @default no readings but that of the recorded pattern, for the split
   */
  readonly meter?: SpotSettings;
  /**
   * Add the grade in words, spoken to a student or to a teacher.
   * @default no words
   */
  readonly voice?: Voice;
  /**
   * Called with every decoded frame while its pixels are at hand; the row waits for it.
   * @default nobody looks
   */
  readonly look?: (seen: SeenFrame) => Promise<void>;
}
