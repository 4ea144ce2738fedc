import { cutText } from "@tonefall/tone-core";
import { isNarrow, textWidth } from "./textWidth.ts";

const ELLIPSIS = "…";

/** Longer names are cut first: a name in a file may be of any length. */
const MOST_OF_NAME = 1000;

let characters: Intl.Segmenter | undefined;

/**
 * A name in at most `width` columns of a terminal. What does not fit goes from its middle, so that its start and its last
 * number survive: `Portrait_…_8.jpg`.
 */
export function shortened(name: string, width: number): string {
  const short = cutText(name, MOST_OF_NAME);
  if (textWidth(short) <= width) return short;
  const room = Math.max(0, width - textWidth(ELLIPSIS));
  const end = endOf(short, room);
  return firstThatFit(segmentsOf(short), room - textWidth(end)) + ELLIPSIS + end;
}

/** The end of a name that is to survive: from its last number on, the number and the extension alone, or half. */
function endOf(name: string, room: number): string {
  const { number, rest, extension } = lastNumber(name);
  const most = room - LEAST_START;
  const ends = number === "" ? [] : [number + rest, number + ELLIPSIS + extension];
  const fits = ends.find((end) => textWidth(end) <= most);
  if (fits !== undefined) return fits;
  const fromEnd = segmentsOf(name).reverse();
  return segmentsOf(firstThatFit(fromEnd, Math.floor(room / 2)))
    .reverse()
    .join("");
}

/** Columns that the start of a name keeps whatever its end needs. */
const LEAST_START = 3;

/** A name's last number with the character that sets it apart, and what follows it; a number that begins a name is its start. */
function lastNumber(name: string): { number: string; rest: string; extension: string } {
  const dot = name.lastIndexOf(".");
  const stem = dot > 0 ? name.slice(0, dot) : name;
  let to = stem.length;
  while (to > 0 && !isDigit(stem[to - 1])) to--;
  let from = to;
  while (from > 0 && isDigit(stem[from - 1])) from--;
  const begins = from === 0 || name[from - 1] === "/";
  const number = begins ? "" : name.slice(from - 1, to);
  return { number, rest: name.slice(to), extension: name.slice(stem.length) };
}

function isDigit(character: string | undefined): boolean {
  return character !== undefined && character >= "0" && character <= "9";
}

function segmentsOf(text: string): string[] {
  if (isNarrow(text)) return [...text];
  characters ??= new Intl.Segmenter("en");
  return Array.from(characters.segment(text), ({ segment }) => segment);
}

/** As many of the first segments as fit. */
function firstThatFit(segments: readonly string[], room: number): string {
  let left = room;
  let fitting = "";
  for (const segment of segments) {
    left -= textWidth(segment);
    if (left < 0) break;
    fitting += segment;
  }
  return fitting;
}
