/** A tally while it is being counted; luminance in integer units. */
export interface RunningTally {
  /** Luminance in units per code, one table a channel. */
  readonly luminance: readonly Int32Array[];
  readonly bins: Uint32Array;
  readonly clippedByChannel: number[];
  sum: number;
  pixels: number;
  /** Pixels of which `sum` and `bins` are. */
  tonedPixels: number;
  transparent: number;
  clippedPixels: number;
  crushedPixels: number;
}
