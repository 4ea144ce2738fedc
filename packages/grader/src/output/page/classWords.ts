import type { CauseCode } from "../../model/cause.ts";

/** What to say to a class about a cause, in one sentence. */
export const CLASS_WORDS: Readonly<Record<CauseCode, string>> = {
  "followed-meter-on-dark":
    "A meter makes dark subjects middle grey: give a dark subject less light than it asks for.",
  "followed-meter-on-light":
    "A meter makes light subjects middle grey: give a light subject more light than it asks for.",
  "compensated-wrong-way":
    "Towards + is lighter: say which way the tone must move before you turn the dial.",
  "compensated-too-little":
    "The direction was right: look at the tone again, and go as far as it needs.",
  "compensated-too-far": "The direction was right: look at the tone again before you add more.",
  "compensation-ignored-in-manual":
    "In full manual compensation does nothing: move the needle with aperture or time.",
  "auto-iso-undid-change": "Automatic ISO takes back what you change: fix the ISO first.",
  "settings-changed-after-metering":
    "Keep the settings that you metered until the picture is taken.",
  "needle-off-centre":
    "In manual the needle says how far you are from the meter: put it where the tone belongs.",
  "flash-fired": "A flash adds light that no meter reading shows: turn it off, or set its power.",
  "light-changed": "When the light changes, meter again.",
  "bracket-step": "A bracket misses on purpose: hand in the step that fits.",
  "settings-and-tones-disagree":
    "Hand in the picture as the camera made it, without helpers and edits.",
  "pattern-not-simulated": "Say which metering pattern you used, and where it looked.",
  "not-known": "The files do not show why: ask how the frame was metered.",
};
