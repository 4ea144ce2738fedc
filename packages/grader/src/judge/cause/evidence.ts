import type { Evidence } from "../../model/cause.ts";

/** What each piece of evidence says. Sizes stand beside the sentence, in `stops`. */
const SENTENCES = {
  miss: "The tone missed its placement by this.",
  "flash-recorded": "The file records that the flash fired.",
  "composite-recorded":
    "The file records a picture that was merged from several exposures or toned by place.",
  "custom-rendering-recorded": "The file records special processing.",
  "contrast-recorded": "The file records a contrast setting other than normal.",
  "software-recorded": "The file names a program besides the camera's firmware.",
  "no-metadata": "The file records no settings.",
  "no-mode": "The file does not say whether the camera set the exposure.",
  "no-pattern": "The file does not say how the camera metered.",
  "no-compensation": "The file does not say what compensation was set.",
  "auto-bracket": "The frame is a step of an automatic bracket, which misses by design.",
  "manual-recorded": "The exposure was set by hand.",
  reading: "The recorded pattern reads this in the picture, from middle grey.",
  "reading-estimated":
    "The recorded pattern reads about this from middle grey, by our estimate of an unpublished weighting.",
  "reading-is-a-bound": "What the meter saw is clipped or black, so the reading is only a bound.",
  compensation: "Compensation that was set.",
  "compensation-wanted": "Compensation that would have placed it right.",
  departure: "The reading lies this far beyond what the compensation explains.",
  "brightness-departure":
    "The settings give this much more than the brightness that the camera recorded asks for.",
  needle: "The settings stand this far from what the meter asked for.",
  "pattern-recorded": "The recorded pattern has no place or weighting that could be laid over.",
  "spot-place-unknown": "The file does not say where in the frame the spot was.",
  "weighting-unpublished": "The weighting of the segments is unpublished.",
  "rendering-explains":
    "A contrast that cameras are known to have would explain the miss by itself: the light may have been right.",
  "toned-as-a-whole":
    "A right exposure that was made lighter or darker as a whole afterwards would look the same.",
  "brightness-recorded": "The camera recorded the brightness that it metered.",
  "miss-before": "The frame before missed the same placement by this.",
  "change-of-settings": "The settings give this much more than those of the frame before.",
  "change-of-fall": "The subject fell this much lighter than in the frame before.",
  "change-of-light": "The settings do not explain this much of the change between the frames.",
  "change-by-hand": "Aperture and time give this much more than in the frame before.",
  "change-of-iso": "The ISO gives this much more than in the frame before.",
} as const;

/** Stable codes of evidence. */
export type EvidenceCode = keyof typeof SENTENCES;

/** A piece of evidence, with its size in stops where it has one. */
export function evidence(code: EvidenceCode, stops: number | null = null): Evidence {
  return { code, message: SENTENCES[code], stops };
}
