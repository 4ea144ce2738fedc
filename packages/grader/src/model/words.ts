import { type Bound, cutText, type Verdict } from "@tonefall/tone-core";
import { type DecidedError, decidedError } from "./decidedError.ts";
import type { Note } from "./note.ts";
import type { Exposure, ExposureError, FrameResult, Placement } from "./result.ts";

/** A verdict as people read it: by word and mark first, since colour may be missing. */
const VERDICT_WORDS: Readonly<Record<Verdict, string>> = {
  over: "▲ lighter",
  under: "▼ darker",
  within: "within",
  undecided: "cannot tell",
};

/** Stops with their sign and two decimals: `+0.33`. */
export function stopsText(stops: number): string {
  const text = stops.toFixed(2);
  // A zero with a minus would give a direction where there is none.
  if (Number(text) === 0) return "0.00";
  return stops > 0 ? `+${text}` : text;
}

/** Stops that may be censored: `≥ +0.33` for "at least", `≤ -6.20` for "at most". */
export function boundedStopsText({ stops, bound }: { stops: number; bound: Bound | null }): string {
  const mark = bound === "at least" ? "≥ " : bound === "at most" ? "≤ " : "";
  return `${mark}${stopsText(stops)}`;
}

/**
 * The figure of an error that decided, with its uncertainty: `+0.33 ± 0.05`, `-0.80 ± 0.05 (median)`, or `≥ +0.33 ± 0.05`
 * where it is only a bound.
 */
export function errorText(error: ExposureError): string {
  return `${boundedStopsText(decidedError(error))} ± ${error.uncertainty.toFixed(2)}${medianMark(error)}`;
}

/** The same without its uncertainty: `≥ +0.33`, or `-0.80 (median)`. */
export function decidedText(error: DecidedError): string {
  return `${boundedStopsText(decidedError(error))}${medianMark(error)}`;
}

function medianMark({ decidedBy }: DecidedError): string {
  return decidedBy === "median" ? " (median)" : "";
}

/** A placement in stops, no longer than it needs to be: `-2`, or `+1.5 to +2.3`. */
export function placementText({ from, to }: Pick<Placement, "from" | "to">): string {
  const short = (stops: number): string => stopsText(stops).replace(/\.?0{1,2}$/, "");
  return from === to ? short(from) : `${short(from)} to ${short(to)}`;
}

/** The settings as a photographer writes them: `f/8 1/125 ISO 100`, without those that the file does not record. */
export function settingsText(
  exposure: Pick<Exposure, "aperture" | "shutter" | "iso"> | null,
): string {
  if (!exposure) return "-";
  const { aperture, shutter, iso } = exposure;
  const parts = [
    aperture.value === null ? [] : `f/${settingNumber(aperture.value)}`,
    shutter.value === null ? [] : shutterText(shutter.value),
    iso.value === null ? [] : `ISO ${settingNumber(iso.value)}`,
  ].flat();
  return parts.length > 0 ? parts.join(" ") : "no settings in the file";
}

/** A time as cameras show it: `1/125`, `0.4 s`, `30 s`. */
export function shutterText(seconds: number): string {
  if (seconds >= 0.3) return `${settingNumber(seconds)} s`;
  const fraction = 1 / seconds;
  return `1/${fraction >= 10 ? Math.round(fraction) : settingNumber(fraction)}`;
}

/** A share as a percentage: `3.2 %`. */
export function percentText(share: number): string {
  return `${(100 * share).toFixed(share > 0 && share < 0.001 ? 3 : 1)} %`;
}

/** A count with its noun: `1 frame`, `12 frames`. */
export function countText(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? "" : "s"}`;
}

/** A text with a capital letter, to begin a sentence. */
export function sentenceCase(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/**
 * A name fit for a line of output. Names are hostile input: what could move the cursor or turn the line's direction
 * becomes a visible stand-in. Joiners stay where a script or an emoji is written with them.
 */
export function safeText(text: string): string {
  return text.replace(/[\p{Cc}\p{Cf}\p{Co}\p{Cn}\p{Zl}\p{Zp}]/gu, (unsafe, at: number) =>
    isJoiner(text, unsafe, at) ? unsafe : "\uFFFD",
  );
}

/** What joiners stand between: letters of scripts that need them, and the parts of an emoji. */
const JOINED =
  /^[\ufe0f\p{Script=Arabic}\p{Script=Bengali}\p{Script=Devanagari}\p{Script=Kannada}\p{Script=Malayalam}\p{Script=Sinhala}\p{Script=Tamil}\p{Script=Telugu}\p{Extended_Pictographic}\p{Emoji_Modifier}]$/u;

function isJoiner(text: string, found: string, at: number): boolean {
  if (found !== "\u200c" && found !== "\u200d") return false;
  const before = [...text.slice(Math.max(0, at - 2), at)].at(-1) ?? "";
  const after = [...text.slice(at + 1, at + 3)][0] ?? "";
  return JOINED.test(before) && JOINED.test(after);
}

/** Characters of a message after which its end says nothing more. */
const MOST_OF_MESSAGE = 900;

/** A message with its code, cut where what it quotes has no end: JSON has it whole. */
export function messageText({ message, code }: Note<string>): string {
  return `${safeText(cutText(message, MOST_OF_MESSAGE))} [${code}]`;
}

/** What a row comes to in one word, with the reason where there is none. */
export function outcomeText({
  failure,
  verdict,
}: Pick<FrameResult, "failure" | "verdict">): string {
  if (failure) return "not graded";
  return verdict ? VERDICT_WORDS[verdict] : "measured";
}

/** A number of a setting, to four figures at most: `5.6`, `0.4`. */
export function settingNumber(value: number): string {
  return String(Number(value.toPrecision(4)));
}
