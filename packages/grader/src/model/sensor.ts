/** Where a black level came from: the DNG's tags or its specification's default, the maker's data, or a shielded border. */
export type BlackSource = "dng-tags" | "dng-default" | "maker" | "masked-border";

/** What a raw file states of its sensor, without a pixel unpacked. Grading may find better by the pixels. */
export interface StatedSensor {
  /** Samples across the whole sensor, borders included. */
  readonly width: number;
  /** Samples down the whole sensor, borders included. */
  readonly height: number;
  /** Initials of the filter pattern in reading order, such as `RGGB`; empty without a 2 x 2 mosaic. */
  readonly pattern: string;
  /** Black as stated, in codes, one for each site of its pattern; null where only the pixels can tell. */
  readonly blackLevels: readonly number[] | null;
  /** Where {@link StatedSensor.blackLevels} come from; null with them. */
  readonly blackFrom: BlackSource | null;
  /** White as stated, in codes, one a plane; null where only the pixels can tell. */
  readonly whiteLevels: readonly number[] | null;
  /** As-shot white balance of red, green and blue, green = 1; null where the file does not say. */
  readonly asShotMultipliers: readonly number[] | null;
  /** Stops that the file asks a renderer to add; reported, never applied. */
  readonly baselineExposureStops: number | null;
}

/** Room between a channel's brightest samples and clipping. */
export interface ChannelHeadroom {
  /** Its name: `red`, `green 1`, `green 2`, `blue`, or `grey` without filters. */
  readonly channel: string;
  /** Stops of light until its brightest samples clip; 0 when they do already; null when none lies above black. */
  readonly stops: number | null;
}

/** How much more light a region or frame could have had. */
export interface Headroom {
  /** Channel by channel. */
  readonly channels: readonly ChannelHeadroom[];
  /** The channel that clips first; null when no channel holds light. */
  readonly limitedBy: string | null;
  /** Its room, stops; null when no channel holds light. */
  readonly stops: number | null;
}
