import type { ExposureRecord } from "@tonefall/exif-reader";
import type { Note } from "./note.ts";

/** How the software of every made frame begins. */
export const MADE_SOFTWARE = "Tonefall expose";

/** A frame that was made from a capture, by its record. */
export interface MadeMark {
  /** What made it, as recorded: `Tonefall expose 0.1.0`. */
  readonly software: string;
}

/**
 * Whether a record is that of a frame that `tonefall expose` made from a capture: nobody exposed it, so it shows an
 * exposure and is not a piece of anyone's work.
 *
 * @param record - as `readExposure` gives it, or a row's `exposure`
 * @returns null for every other picture
 *
 * @example
 * ```ts
 * const row = await readFrame("frame.jpg");
 * if (row.exposure && madeFrameOf(row.exposure)) refuse();
 * ```
 */
export function madeFrameOf({ software }: Pick<ExposureRecord, "software">): MadeMark | null {
  const name = software.value;
  return name?.startsWith(MADE_SOFTWARE) ? { software: name } : null;
}

/** Whether a row is of a made frame: what it misses was asked for, so it has no cause and nothing to do next. */
export function wasMade({
  exposure,
}: {
  readonly exposure: Pick<ExposureRecord, "software"> | null;
}): boolean {
  return exposure !== null && madeFrameOf(exposure) !== null;
}

/** What the reader of a made frame's row should know. */
export const MADE_NOTE: Note = {
  code: "made-frame",
  message:
    "Tonefall made this frame from a capture; nobody photographed it. It is not accepted as a hand-in.",
};
