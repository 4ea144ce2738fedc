import type { CauseCode } from "../../model/cause.ts";
import type { Voice } from "../../model/feedback.ts";

/*
 * Words in braces are filled in: {lighter} is lighter or darker, {less} less or more (light), {towards} towards - or
 * towards +, {size} the one number of the advice, {act} an action of the mode. "Towards +" and never left or right: cameras differ.
 */

/** How the missing light is given, by who sets the exposure. */
export const ACTIONS = {
  auto: "set compensation {towards}, by {size}",
  manual: "move the needle {towards}, by {size}",
  unknown: "give {less} light, by {size}",
} as const;

/** Closes every sentence on a miss: intent is allowed. */
export const INTENT: Readonly<Record<Voice, string>> = {
  student: "If you meant it {lighter}, say so in the brief.",
  teacher: "If meant so, change the brief.",
};

/** What happened and what next, for a tone that missed by more than a picture can tell, whatever the cause. */
export const TOO_FAR: Readonly<Record<Voice, string>> = {
  student:
    "The subject came out far too {light} to tell by how much. Start again from a meter reading.",
  teacher:
    "The subject is far too {light} to tell by how much. Suggest: start again from a meter reading.",
};

/** What happened, why, and next, for a tone that missed its placement. */
export const MISSED: Readonly<Record<CauseCode, Readonly<Record<Voice, string>>>> = {
  "followed-meter-on-dark": {
    student:
      "The subject came out {lighter} than its placement: the meter read mostly dark tones and lifted them to middle grey. Next time {act}.",
    teacher:
      "The subject lies {lighter} than placed. The exposure followed the meter over mostly dark tones. Suggest: {act}.",
  },
  "followed-meter-on-light": {
    student:
      "The subject came out {lighter} than its placement: the meter read mostly light tones and lowered them to middle grey. Next time {act}.",
    teacher:
      "The subject lies {lighter} than placed. The exposure followed the meter over mostly light tones. Suggest: {act}.",
  },
  "compensated-wrong-way": {
    student:
      "The subject came out {lighter} than its placement: the change you made went the opposite way. From here {act}.",
    teacher:
      "The subject lies {lighter} than placed. The exposure was changed away from the placement. Suggest: {act}.",
  },
  "compensated-too-little": {
    student:
      "The subject came out {lighter} than its placement: your change went the right way, not yet far enough. From here {act}.",
    teacher:
      "The subject lies {lighter} than placed. The exposure was changed in the right direction, not far enough. Suggest: {act}.",
  },
  "compensated-too-far": {
    student:
      "The subject came out {lighter} than its placement: your change went further than the tone asked. From here {act}.",
    teacher:
      "The subject lies {lighter} than placed. The exposure was changed further than the placement asked. Suggest: {act}.",
  },
  "compensation-ignored-in-manual": {
    student:
      "The subject came out {lighter} than its placement: in full manual the compensation you set does nothing. Turn aperture or time until the needle moves {towards}, by {size}.",
    teacher:
      "The subject lies {lighter} than placed. Compensation was set in full manual, where it does nothing. Suggest: {act}.",
  },
  "auto-iso-undid-change": {
    student:
      "The subject came out {lighter} than its placement: automatic ISO took back the change you made. Fix the ISO, then give {less} light, by {size}.",
    teacher:
      "The subject lies {lighter} than placed. Automatic ISO took back the change by hand. Suggest: fix the ISO, then {less} light, by {size}.",
  },
  "settings-changed-after-metering": {
    student:
      "The subject came out {lighter} than its placement: the settings were not those the metering asked for. Meter again and give {less} light, by {size}.",
    teacher:
      "The subject lies {lighter} than placed. The settings changed between metering and picture. Suggest: {less} light, by {size}.",
  },
  "needle-off-centre": {
    student:
      "The subject came out {lighter} than its placement: you set the exposure by hand, away from what the meter asked for. From here {act}.",
    teacher:
      "The subject lies {lighter} than placed. The exposure was set by hand, away from what the meter asked for. Suggest: {act}.",
  },
  "flash-fired": {
    student:
      "The subject came out {lighter} than its placement: the flash fired, and the settings do not tell its light. Ask for {less} flash, by {size}.",
    teacher:
      "The subject lies {lighter} than placed. The flash fired, so the settings do not tell the light. Suggest: {less} flash, by {size}.",
  },
  "light-changed": {
    student:
      "The subject came out {lighter} than its placement: the light changed after the frame before. Meter again, or give {less} light, by {size}.",
    teacher:
      "The subject lies {lighter} than placed. The light changed after the frame before. Suggest: meter again, or {less} light, by {size}.",
  },
  "bracket-step": {
    student:
      "The subject came out {lighter} than its placement: the frame is a step of a bracket. Hand in another step, or give {less} light, by {size}.",
    teacher:
      "The subject lies {lighter} than placed. The frame is a step of an automatic bracket. Suggest: another step, or {less} light, by {size}.",
  },
  "settings-and-tones-disagree": {
    student:
      "The picture is {lighter} than its placement, and was toned by a camera helper or an edit. Hand in the plain picture; if needed, give {less} light, by {size}.",
    teacher:
      "The picture is {lighter} than placed. A camera helper or an edit toned it, so the settings do not explain it. As it stands: {less} light, by {size}.",
  },
  "pattern-not-simulated": {
    student:
      "The subject came out {lighter} than its placement. What your meter looked at cannot be told from the file. Check where it read, then give {less} light, by {size}.",
    teacher:
      "The subject lies {lighter} than placed. The file does not tell what the meter looked at. Suggest: {less} light, by {size}.",
  },
  "not-known": {
    student:
      "The subject came out {lighter} than its placement. The cause is not known from the file. Next time give {less} light, by {size}.",
    teacher:
      "The subject lies {lighter} than placed. Cause not known. Suggest: {less} light, by {size}.",
  },
};

/** The same where the rendering alone would explain the miss. */
export const RENDERING_EXPLAINS: Readonly<Record<Voice, string>> = {
  student:
    "The subject came out {lighter} than its placement. The camera's rendering alone may have done that. Try a flatter picture style first; otherwise give {less} light, by {size}.",
  teacher:
    "The subject lies {lighter} than placed. The camera's rendering alone may have done that; the exposure may be right. Otherwise: {less} light, by {size}.",
};

/** A tone that held, and a claim that cannot be decided. */
export const NOT_MISSED: Readonly<Record<"within" | "undecided", Readonly<Record<Voice, string>>>> =
  {
    within: {
      student: "The subject fell where its placement asked. Keep this reading in mind.",
      teacher: "The subject fell where it was placed.",
    },
    undecided: {
      student:
        "Whether the subject fell where its placement asked cannot be told from this picture. A plain, evenly lit part of the subject, without clipping, would say more.",
      teacher:
        "Cannot tell whether the subject fell where it was placed. A smaller region or a picture without clipping would say more.",
    },
  };
