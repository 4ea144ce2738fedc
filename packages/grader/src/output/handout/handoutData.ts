import type { Exercise } from "./exercise.ts";

/** What a hand-in page is made with: the data that stands in it. */
export interface HandoutData {
  readonly exercise: Exercise;
  /** SHA-256 of the exercise, hexadecimal. */
  readonly exerciseSha256: string;
  /** Version of Tonefall. */
  readonly tonefall: string;
  readonly hideVerdict: boolean;
  /** Decoders that the page carries beside JPEG, PNG and WebP. */
  readonly with: readonly string[];
}
