import type { Note } from "../model/note.ts";
import { percentText } from "../model/words.ts";
import type { Source } from "../picture/source/openSource.ts";
import { type Capture, type CaptureOptions, openCapture } from "./capture.ts";
import type { ExposureAsked, PlannedExposure } from "./exposure.ts";
import { planExposure } from "./planExposure.ts";
import { PLAIN, type RenderingCurve } from "./renderingCurve.ts";
import { renderPixels } from "./renderPixels.ts";
import { spokenStops } from "./spokenStops.ts";

/** A frame made from a capture, before it is encoded. */
export interface MadeFrame {
  /** The capture that it was made from. */
  readonly capture: Pick<Capture, "name" | "exposure">;
  /** The exposure that it shows. */
  readonly exposure: PlannedExposure;
  /** How light became codes. */
  readonly curve: Pick<RenderingCurve, "name" | "description">;
  /** Pixels across, as stored. */
  readonly width: number;
  /** Pixels down, as stored. */
  readonly height: number;
  /** Exif orientation of the stored pixels, 1 to 8. */
  readonly orientation: number;
  /** Codes of 8 bits in sRGB, red, green and blue to a pixel, as stored. */
  readonly samples: Uint8Array;
  /** Share of the pixels with a channel at the lightest code. */
  readonly clippedShare: number;
  /** Share of the pixels without any light left. */
  readonly blackShare: number;
  /** What a reader of the frame has to know; the sentences are its caption's too. */
  readonly notes: readonly Note[];
}

/** Lifted further than this, stops, a capture's noise shows in the shadows. Our judgement. */
const NOISY_STOPS = 1;

/** Lifted further than this, stops, hardly anything but noise is left in the shadows. Our judgement. */
const VERY_NOISY_STOPS = 4;

/** Shares below this are specks. */
const LEAST_SHARE = 0.0001;

/**
 * Makes one frame of a capture: its light, exposed as asked and rendered by a curve.
 *
 * @param source - a capture that was opened (a series decodes it once), or a path, file URL or bytes
 * @param asked - how it is exposed
 * @param curve - how light becomes codes; `PLAIN` where it is left out
 * @throws {@link GraderError} as {@link openCapture}, or where the exposure cannot be worked out: `bad-option`,
 *   `bad-place`, `bad-region`, `region-empty`
 *
 * @example
 * ```ts
 * const capture = await openCapture("slip.dng");
 * const made = await exposeFrame(capture, { place: "snow", region: "spot" });
 * await writeFile("snow.jpg", await encodeFrame(made));
 * ```
 */
export async function exposeFrame(
  source: Capture | Source,
  asked: ExposureAsked,
  curve: RenderingCurve = PLAIN,
  options: CaptureOptions = {},
): Promise<MadeFrame> {
  const capture = isCapture(source) ? source : await openCapture(source, options);
  const exposure = planExposure(capture, asked);
  const { width, height, orientation } = capture.picture;
  const { samples, clippedPixels, blackPixels } = renderPixels(
    capture.picture,
    exposure.stops,
    curve,
  );
  const pixels = width * height;
  return {
    capture,
    exposure,
    curve,
    ...{ width, height, orientation, samples },
    clippedShare: clippedPixels / pixels,
    blackShare: blackPixels / pixels,
    notes: [...capture.notes, ...notesOf(capture, exposure)],
  };
}

function isCapture(source: Capture | Source): source is Capture {
  return typeof source === "object" && "picture" in source;
}

function notesOf({ clippedShare }: Capture, { stops, placed, reading }: PlannedExposure): Note[] {
  const notes: Note[] = [UNSIMULATED];
  if (clippedShare > LEAST_SHARE) {
    notes.push({
      code: "capture-clipped",
      message: `${percentText(clippedShare)} of the capture is clipped and stays clipped here: how light it was is not known.`,
      share: clippedShare,
    });
  }
  if (placed?.censored || reading?.censored) {
    const what = placed?.censored ? "the region" : "what the meter read";
    notes.push({
      code: "capture-censored",
      message: `Part of ${what} is clipped in the capture, so its light was more than measured, and the frame is exposed for what was measured.`,
    });
  }
  if (stops > NOISY_STOPS) notes.push(noiseNote(stops));
  return notes;
}

const UNSIMULATED: Note = {
  code: "exposure-alone",
  message: "Blur, depth of field and noise are the capture's: exposure alone was changed.",
};

function noiseNote(stops: number): Note {
  const lifted = `The frame lies ${spokenStops(stops)} stops from its capture`;
  return stops > VERY_NOISY_STOPS
    ? {
        code: "capture-noise-strong",
        message: `${lifted}: its shadows are mostly the capture's noise, and no camera that gave this exposure would show them so.`,
      }
    : { code: "capture-noise", message: `${lifted}: its shadows show the capture's noise.` };
}
