/** One place of a still scene as one frame of a bracket shows it. */
export interface ResponseObservation {
  /** Index of the frame. */
  readonly frame: number;
  /** Mean code of the place on the 8-bit scale, from 0 to 255. */
  readonly code: number;
  /** One standard deviation of that mean, codes, from 0 to 255. */
  readonly codeError: number;
}

/** What `recoverResponse` works on. */
export interface ResponseInput {
  /** Places of the scene, each seen in one frame or more; those seen only once say nothing and are passed over. */
  readonly places: readonly (readonly ResponseObservation[])[];
  /** Given exposure of every frame, stops, from -1000 to 1000. */
  readonly exposures: readonly number[];
  /** One standard deviation of a given exposure, stops, > 0: what marked times and apertures are off by. */
  readonly exposureError: number;
  /** Light in stops that the file's own transfer function gives a code above 0, whatever its zero. */
  readonly encodedStops: (code: number) => number;
  /** The code that becomes the curve's middle, its zero, from 0 to 255. */
  readonly middleCode: number;
  /** Inverse of a symmetric positive matrix, from a library of linear algebra. */
  readonly invert: (matrix: number[][]) => number[][];
}
