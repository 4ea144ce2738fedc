import { shareNote } from "../model/note.ts";
import { CODES, GLANCE_PIXELS, mayEnd, scaleEndOf } from "./cutScale.ts";
import type { Frame, ScaleEnd } from "./frame.ts";

/** Pixels examined: enough to know a share of 1/200 within a twentieth of itself. */
const LOOKED_AT = 2 ** 18;

/** Nearly every pixel examined is waited for, so one in this many is looked at before all are. */
const GLANCE_STEP = LOOKED_AT / GLANCE_PIXELS;

/**
 * A frame that counts as clipped what is piled up at the end of its own scale.
 *
 * @param frame - from any decoder
 * @returns the frame itself where its scale ends at full scale, or where more than 8 bits or one channel leave that open
 */
export function withScaleEnd(frame: Frame): Frame {
  if (!(frame.samples instanceof Uint8Array) || frame.channels.length !== 3) return frame;
  const end = endOf(frame);
  if (!end) return frame;
  const fullScale = CODES - 1;
  return {
    ...frame,
    channels: frame.channels.map((channel, i) => ({
      ...channel,
      clipCode: end.codes[i] as number,
    })),
    scaleEnd: { ...end, fullScale },
    notes: [...frame.notes, shareNote("scale-ends-below-white", end.share)],
  };
}

/** Where a large picture shows nothing at a glance, the rest of what would be examined is left alone. */
function endOf(frame: Frame): ScaleEnd | null {
  const pixels = frame.width * frame.height;
  // Odd, so that every place in a JPEG's blocks is visited.
  const step = 2 * Math.floor(pixels / LOOKED_AT / 2) + 1;
  const count = Math.ceil(pixels / step);
  if (count >= LOOKED_AT) {
    const glance = (i: number): number => step * (GLANCE_STEP * i + scattered(i, GLANCE_STEP));
    if (!mayEnd(codesAt(frame, Math.floor(count / GLANCE_STEP), glance))) return null;
  }
  return scaleEndOf(codesAt(frame, count, (i) => step * i));
}

/** A number below `end` for each i that no pattern in a picture follows: equal steps might fall on the same columns. */
function scattered(i: number, end: number): number {
  const mixed = Math.imul(i + 1, 0x9e3779b1);
  return (Math.imul(mixed ^ (mixed >>> 15), 0x85ebca77) >>> 16) % end;
}

/**
 * Counts by code of some visible pixels of three channels.
 *
 * @param placeOf - each pixel's place in the picture, row by row
 */
function codesAt(
  { samples, stride, channels, alphaIndex }: Frame,
  count: number,
  placeOf: (i: number) => number,
): Uint32Array[] {
  const histograms = channels.map(() => new Uint32Array(CODES));
  const [red, green, blue] = histograms as [Uint32Array, Uint32Array, Uint32Array];
  // One pass for all channels, side by side: the next pixel can be fetched while this one is waited for.
  for (let i = 0; i < count; i++) {
    const at = stride * placeOf(i);
    if (alphaIndex !== null && (samples[at + alphaIndex] as number) < CODES / 2) continue;
    (red[samples[at] as number] as number)++;
    (green[samples[at + 1] as number] as number)++;
    (blue[samples[at + 2] as number] as number)++;
  }
  return histograms;
}
