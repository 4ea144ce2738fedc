/**
 * How many pixels are counted. `exact`: every one. `standard`: every one for what is clipped or black, an even
 * lattice of them for the tones of large regions. `quick`: a large JPEG is decoded in part, and the part stands for all.
 */
export type Precision = "exact" | "standard" | "quick";

/** Which figures of a row were taken from some pixels for all, and how far that may have moved them. */
export interface Sampling {
  /** `standard`: tones from a lattice of the pixels; `quick`: all from a picture decoded in part. */
  readonly precision: "standard" | "quick";
  /** Pixels that were looked at for the tones. */
  readonly pixels: number;
  /** The sampled fields of the row; every other figure was counted on every pixel. */
  readonly figures: readonly ("fall" | "clipped" | "crushed")[];
  /**
   * The most that a figure was off in measurements on photographs, for regions of this size: stops, and shares of the
   * region; 0 for what is not sampled.
   */
  readonly error: {
    /** Of the mean, stops. */
    readonly mean: number;
    /** Of the median, stops. */
    readonly median: number;
    /** Of the fifth and the ninety-fifth percentile, stops. */
    readonly percentiles: number;
    /** Of the clipped and the crushed share, in [0, 1]. */
    readonly share: number;
  };
}
