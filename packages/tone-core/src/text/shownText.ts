import { expectText } from "../expectGiven.ts";

/** A value in a message is there to be recognised, not to be read whole. */
const MOST_CHARACTERS = 200;

/**
 * A text as a message quotes it: whole up to 200 characters, otherwise its first 200 and its length, so that a long input
 * does not make a long message.
 *
 * @example
 * ```ts
 * shownText("snwo"); // => "snwo"
 * shownText("x".repeat(5000)).length; // => 219
 * ```
 */
export function shownText(text: string): string {
  expectText("the text", text);
  if (text.length <= MOST_CHARACTERS) return text;
  return `${cutText(text, MOST_CHARACTERS)} (${text.length} characters)`;
}

/**
 * A text cut to a length, with an ellipsis where something was cut off. No surrogate pair is split.
 *
 * @param most - UTF-16 units to keep, the ellipsis not counted
 *
 * @example
 * ```ts
 * cutText("middle grey", 6); // => "middle…"
 * ```
 */
export function cutText(text: string, most: number): string {
  expectText("the text", text);
  if (text.length <= most) return text;
  return `${text.slice(0, most).replace(/[\ud800-\udbff]$/, "")}…`;
}
