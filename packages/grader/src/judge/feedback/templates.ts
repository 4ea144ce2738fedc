import type { CauseCode } from "../../model/cause.ts";
import type { Voice } from "../../model/feedback.ts";

/*
 * The words in braces are filled in: {lighter} with lighter or darker, {light} with light or dark, {less} with less or
 * more, {reduce} with reduce or increase, {towards} with towards - or towards +, {size} with the one number of the
 * advice, {act} with the action of the mode. "Towards +", and never left or right: cameras differ.
 */

/** How to give the missing light, by who sets the exposure. */
export const ACTIONS = {
  auto: "move the compensation {towards} by {size}",
  manual: "move the needle {towards} by {size}",
  unknown: "{reduce} the exposure by {size}",
} as const;

/** Closes the words where the photographer chose the exposure, and may have meant it. */
export const INTENT = "Intended? Widen the placement in the brief.";

/** Follows a large step on a rendering whose curve is not known. */
export const CHECK_AGAIN = "Check again.";

/** The causes that somebody may have meant. */
export const MAY_BE_INTENDED: ReadonlySet<CauseCode> = new Set([
  "compensated-wrong-way",
  "compensated-too-far",
  "needle-off-centre",
]);

/** For a miss that is too large for a picture to show its size, whatever the cause. */
export const TOO_FAR: Readonly<Record<Voice, string>> = {
  student:
    "The subject came out far too {light} to tell by how much. Start again from a meter reading.",
  teacher:
    "The subject is far too {light} to tell by how much. Ask the student to start again from a meter reading.",
};

/** For a tone that missed its placement: what happened, why, and what to do next. */
export const MISSED: Readonly<Record<CauseCode, Readonly<Record<Voice, string>>>> = {
  "followed-meter-on-dark": {
    student:
      "The subject came out {lighter} than placed: the meter read mostly dark tones, and the camera lifted them to middle grey. Next time, {act}.",
    teacher:
      "The subject came out {lighter} than placed: the student followed the meter, which read mostly dark tones. Ask the student to {act}.",
  },
  "followed-meter-on-light": {
    student:
      "The subject came out {lighter} than placed: the meter read mostly light tones, and the camera lowered them to middle grey. Next time, {act}.",
    teacher:
      "The subject came out {lighter} than placed: the student followed the meter, which read mostly light tones. Ask the student to {act}.",
  },
  "compensated-wrong-way": {
    student:
      "The subject came out {lighter} than placed: your change went the opposite way. From here, {act}.",
    teacher:
      "The subject came out {lighter} than placed: the student changed the exposure the opposite way. From here, ask the student to {act}.",
  },
  "compensated-too-little": {
    student:
      "The subject came out {lighter} than placed: your change went the right way, but not far enough. From here, {act}.",
    teacher:
      "The subject came out {lighter} than placed: the student changed the exposure the right way, but not far enough. From here, ask the student to {act}.",
  },
  "compensated-too-far": {
    student:
      "The subject came out {lighter} than placed: your change went further than the tone needed. From here, {act}.",
    teacher:
      "The subject came out {lighter} than placed: the student changed the exposure further than the tone needed. From here, ask the student to {act}.",
  },
  "compensation-ignored-in-manual": {
    student:
      "The subject came out {lighter} than placed: in full manual, the compensation you set does nothing. Turn the aperture or time until the needle moves {towards} by {size}.",
    teacher:
      "The subject came out {lighter} than placed: the student set compensation in full manual, where it does nothing. Ask the student to {act}.",
  },
  "auto-iso-undid-change": {
    student:
      "The subject came out {lighter} than placed: automatic ISO cancelled your change. With the ISO fixed, {reduce} the exposure by {size}.",
    teacher:
      "The subject came out {lighter} than placed: automatic ISO cancelled the student's change. Ask the student to fix the ISO and {reduce} the exposure by {size}.",
  },
  "settings-changed-after-metering": {
    student:
      "The subject came out {lighter} than placed: the settings are not the ones that the metering asked for. From here, {reduce} the exposure by {size}.",
    teacher:
      "The subject came out {lighter} than placed: the settings changed between metering and picture. From here, ask the student to {reduce} the exposure by {size}.",
  },
  "needle-off-centre": {
    student:
      "The subject came out {lighter} than placed: you set the exposure by hand, away from what the meter asked for. From here, {act}.",
    teacher:
      "The subject came out {lighter} than placed: the student set the exposure by hand, away from what the meter asked for. From here, ask the student to {act}.",
  },
  "flash-fired": {
    student:
      "The subject came out {lighter} than placed: the flash fired, and the settings do not show how much light it gave. Use {less} flash, by {size}.",
    teacher:
      "The subject came out {lighter} than placed: the flash fired, and the settings do not show how much light it gave. Ask the student for {less} flash, by {size}.",
  },
  "light-changed": {
    student:
      "The subject came out {lighter} than placed: the light changed after the frame before. In this light, {reduce} the exposure by {size}.",
    teacher:
      "The subject came out {lighter} than placed: the light changed after the frame before. In such light, ask the student to {reduce} the exposure by {size}.",
  },
  "bracket-step": {
    student:
      "The subject came out {lighter} than placed: this frame is one step of a bracket. Hand in the step with {less} light, {size} from this one.",
    teacher:
      "The subject came out {lighter} than placed: the frame is one step of an automatic bracket. Ask the student for the step with {less} light, {size} from this one.",
  },
  "settings-and-tones-disagree": {
    student:
      "The picture came out {lighter} than placed: a camera helper or an edit changed its tones. Hand in the picture without it. As it stands, it needs {less} light, by {size}.",
    teacher:
      "The picture came out {lighter} than placed: a camera helper or an edit changed its tones. Ask for the picture without it. As it stands, it needs {less} light, by {size}.",
  },
  "pattern-not-simulated": {
    student:
      "The subject came out {lighter} than placed, and the file does not show what your meter read. Check that first, then {reduce} the exposure by {size}.",
    teacher:
      "The subject came out {lighter} than placed, and the file does not show what the meter read. Ask the student, who can then {reduce} the exposure by {size}.",
  },
  "not-known": {
    student:
      "The subject came out {lighter} than placed, and the file does not show why. Next time, {reduce} the exposure by {size}.",
    teacher:
      "The subject came out {lighter} than placed, and the file does not show why. Ask the student to {reduce} the exposure by {size}.",
  },
};

/** The same where the rendering alone would explain the miss. */
export const RENDERING_EXPLAINS: Readonly<Record<Voice, string>> = {
  student:
    "The subject came out {lighter} than placed, but the camera's rendering alone may explain that. Try a flatter picture style before you {reduce} the exposure by {size}.",
  teacher:
    "The subject came out {lighter} than placed, but the camera's rendering alone may explain that. Suggest a flatter picture style before the student tries to {reduce} the exposure by {size}.",
};

/** For settings that are not the meter's where the camera set the exposure: held, or as far as they go. */
export const NOT_METERED: Readonly<Record<Voice, string>> = {
  student:
    "The subject came out {lighter} than placed: the settings are not what meter and compensation asked for. Was the exposure locked, or had the camera reached the end of its range? From here, {reduce} the exposure by {size}.",
  teacher:
    "The subject came out {lighter} than placed: the settings are not what meter and compensation asked for. Ask whether the exposure was locked or the camera had reached the end of its range. From here, {reduce} the exposure by {size}.",
};

/** For a tone that was within its placement, and for a claim that cannot be decided. */
export const NOT_MISSED: Readonly<Record<"within" | "undecided", Readonly<Record<Voice, string>>>> =
  {
    within: {
      student: "The subject fell where it was placed. Remember how you metered it.",
      teacher: "The subject fell where it was placed.",
    },
    undecided: {
      student:
        "This picture cannot show whether the subject fell where it was placed. Measure a plain, evenly lit part of the subject that does not clip.",
      teacher:
        "Cannot tell whether the subject fell where it was placed. Try a smaller region, or ask for a picture that does not clip.",
    },
  };
