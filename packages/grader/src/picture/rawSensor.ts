import type { BlackSource } from "../model/sensor.ts";

/** A rectangle of sensor samples. */
export interface SensorRectangle {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** How colour filters lie on a sensor. */
export type FilterKind = "bayer" | "x-trans" | "mosaic" | "monochrome" | "demosaiced";

/** Where a white level came from: `data` where the samples pile up below the level that the file states. */
export type WhiteSource = "metadata" | "data";

/** What is known of the sensor, and where from. Lists follow the raster's channels where nothing else is said. */
export interface RawSensor {
  readonly make: string;
  readonly model: string;
  readonly filters: {
    readonly kind: FilterKind;
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
  readonly whiteFrom: WhiteSource;
  /** As-shot white balance of red, green and blue, green = 1; a single 1 without filters. */
  readonly asShotMultipliers: readonly number[];
  /** Each channel's share of luminance after white balance; sums to 1. */
  readonly luminanceRow: readonly number[];
  /** Colour of each channel: 0 red, 1 green, 2 blue; 0 on a monochrome sensor. */
  readonly channelColours: readonly number[];
  /** Linear sRGB from balanced red, green and blue, row by row; each row sums to 1. */
  readonly toSrgb: readonly number[];
  /** The part of the sensor that sees light, in sensor samples. */
  readonly activeArea: SensorRectangle;
  /** The part that is the picture, in sensor samples. */
  readonly crop: SensorRectangle;
  /** Stops that the file asks a renderer to add; reported, never applied. Null where the file says nothing. */
  readonly baselineExposureStops: number | null;
  /** Standard deviation of each channel at black, in codes; null where neither border nor noise profile tells. */
  readonly noiseFloor: readonly number[] | null;
  /** Counts of every channel's own codes over the frame, 65,536 bins each. */
  readonly histograms: readonly Uint32Array[];
}
