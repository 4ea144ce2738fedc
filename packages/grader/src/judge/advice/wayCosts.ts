import type { SettingName } from "../../model/nextSettings.ts";
import type { Note, NoteCode } from "../../model/note.ts";
import type { Exposure } from "../../model/result.ts";

/** What changing one setting costs besides light. All common practice; the handheld limit is [HAND]. */
export function wayCosts(
  exposure: Exposure,
  setting: SettingName,
  from: number,
  to: number,
): readonly Note[] {
  const rises = to > from;
  if (setting === "aperture") return [rises ? MORE_DEPTH : LESS_DEPTH, LENS_UNKNOWN];
  if (setting === "iso") return [rises ? MORE_NOISE : LESS_NOISE];
  return rises ? [MORE_BLUR, ...handheld(exposure, to)] : [LESS_BLUR, ...flashSync(exposure)];
}

/** One over the focal length in 35 mm terms is the longest time for a steady hand: a convention, not a standard. */
function handheld({ focalLength35mm }: Exposure, seconds: number): readonly Note[] {
  if (focalLength35mm.value === null) return [HANDHELD_UNKNOWN];
  return seconds > 1 / focalLength35mm.value ? [BEYOND_HANDHELD] : [];
}

function flashSync({ flashFired }: Exposure): readonly Note[] {
  return flashFired.value === false ? [] : [SYNC_UNKNOWN];
}

const note = (code: NoteCode, message: string): Note => ({ code, message });

const LESS_DEPTH = note("less-depth-of-field", "Less of the scene is sharp from front to back.");
const MORE_DEPTH = note("more-depth-of-field", "More of the scene is sharp from front to back.");
const LENS_UNKNOWN = note(
  "lens-range-unknown",
  "The file does not record whether the lens goes that far.",
);
const MORE_NOISE = note("more-noise", "More noise, most of all in the dark tones.");
const LESS_NOISE = note("less-noise", "Less noise.");
const MORE_BLUR = note("more-motion-blur", "Moving things blur more.");
const LESS_BLUR = note("less-motion-blur", "Moving things blur less.");
const BEYOND_HANDHELD = note(
  "beyond-handheld-limit",
  "Longer than one over the focal length in 35 mm terms: use a support, unless the lens or the body is stabilised.",
);
const HANDHELD_UNKNOWN = note(
  "handheld-limit-unknown",
  "The file does not record the focal length in 35 mm terms, so the handheld limit is not known.",
);
const SYNC_UNKNOWN = note(
  "flash-sync-unknown",
  "The file does not record the camera's flash synchronisation time; a shorter time leaves part of the frame dark.",
);
