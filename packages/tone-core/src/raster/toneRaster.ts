/**
 * One channel of a raster: how its stored codes become light.
 *
 * A channel is a look-up table, so that every transfer function, matrix row, white balance and black level costs the
 * same per pixel: one read and one addition.
 */
export interface ToneChannel {
  /** The channel's name as people see it: `red`, `green`, `blue`, `grey`; `green 1` and `green 2` on a sensor. */
  readonly name: string;
  /**
   * This channel's share of relative luminance for every code, length = codes (256 or 65536). The luminance of a pixel
   * is the sum over its channels. May hold negative values (sensor noise below black).
   */
  readonly luminance: Float64Array;
  /** Codes at or above this one are clipped. */
  readonly clipCode: number;
  /** Codes at or below this one hold no tone: black. */
  readonly crushCode: number;
}

/**
 * Pixels as they are stored, and the tables that turn them into light: what every decoder yields and every measurement
 * reads.
 *
 * Samples are interleaved, row by row, `stride` samples to a pixel, of which the first `channels.length` carry tone (an
 * alpha sample may follow). On a sensor mosaic a "pixel" is one repeat of the colour filter pattern.
 */
export interface ToneRaster {
  /** Pixels across, as stored (before orientation). */
  readonly width: number;
  /** Pixels down, as stored. */
  readonly height: number;
  /** Stored codes, length ≥ width × height × stride. */
  readonly samples: Uint8Array | Uint16Array;
  /** Samples from one pixel to the next, ≥ channels.length. */
  readonly stride: number;
  /** The channels that carry tone, in the order they are stored. */
  readonly channels: readonly ToneChannel[];
}
