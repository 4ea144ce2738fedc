import type { BlackSource } from "../../model/sensor.ts";
import type { SensorRectangle } from "./dngTags.ts";
import type { SensorLayout } from "./sensorLayout.ts";

import type { ChannelWhite } from "./whiteLevels.ts";

/** What is known of the sensor, and where from. Lists follow the raster's channels where nothing else is said. */
export interface RawSensor {
  readonly make: string;
  readonly model: string;
  readonly filters: {
    readonly kind: SensorLayout["kind"];
    /** Initials in reading order from the picture's corner, such as `RGGB`; empty without a mosaic. */
    readonly pattern: string;
  };
  /** Black level of each channel, in codes. */
  readonly blackLevels: readonly number[];
  readonly blackFrom: BlackSource;
  /** Lowest clipped code of each channel. */
  readonly whiteLevels: readonly number[];
  /** White level of each channel as the metadata state it. */
  readonly statedWhite: readonly number[];
  /** `data` where the samples pile up below the stated white. */
  readonly whiteFrom: ChannelWhite["from"];
  /** As-shot white balance of red, green and blue, green = 1; a single 1 without filters. */
  readonly asShotMultipliers: readonly number[];
  /** Each channel's share of luminance after white balance; sums to 1. */
  readonly luminanceRow: readonly number[];
  /** The part of the sensor that sees light, in sensor samples. */
  readonly activeArea: SensorRectangle;
  /** The part that is the picture, in sensor samples. */
  readonly crop: SensorRectangle;
  /** Stops that a renderer is told to add; reported, never applied. Null where the file says nothing. */
  readonly baselineExposureStops: number | null;
  /** Standard deviation of each channel at black, in codes; null where neither border nor noise profile tells. */
  readonly noiseFloor: readonly number[] | null;
  /** Counts of every channel's own codes over the frame, 65,536 bins each. */
  readonly histograms: readonly Uint32Array[];
}
