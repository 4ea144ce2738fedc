import type { Bound } from "@tonefall/tone-core";
import type { CauseCode } from "../../model/cause.ts";

/** Causes in few words, for tables and filters. */
export const CAUSE_WORDS: Readonly<Record<CauseCode, string>> = {
  "followed-meter-on-dark": "meter followed on dark tones",
  "followed-meter-on-light": "meter followed on light tones",
  "compensated-wrong-way": "corrected the wrong way",
  "compensated-too-little": "corrected too little",
  "compensated-too-far": "corrected too far",
  "compensation-ignored-in-manual": "compensation does nothing in manual",
  "auto-iso-undid-change": "automatic ISO undid the change",
  "settings-changed-after-metering": "settings changed after metering",
  "needle-off-centre": "needle off centre",
  "flash-fired": "flash fired",
  "light-changed": "the light changed",
  "bracket-step": "a step of a bracket",
  "settings-and-tones-disagree": "settings and tones disagree",
  "pattern-not-simulated": "metering pattern not judged",
  "not-known": "not known",
};

/** Marks that stand before a verdict's word. */
export const VERDICT_MARKS: Readonly<Record<string, string>> = {
  over: "▲",
  under: "▼",
  within: "●",
  undecided: "◇",
};

/** A code or key as words: `centre-weighted` stays, `focalLength35mm` becomes `focal length 35mm`. */
export function keyWords(key: string): string {
  return key.replace(/([a-z])([A-Z0-9])/g, "$1 $2").toLowerCase();
}

/**
 * A bound of signed stops as a bound of their size: at most -2 stops are at least 2 stops darker.
 *
 * @returns words to stand before the size, with a space; none without a bound
 */
export function sizeBound(stops: number, bound: Bound | null): string {
  if (bound === null) return "";
  return (bound === "at least") === stops >= 0 ? "at least " : "at most ";
}
