import wrapAnsi from "wrap-ansi";
import { isNarrow } from "./textWidth.ts";

/**
 * A text in lines of at most `width` columns, broken between words.
 *
 * @param breaksWords - whether a word that is wider than a line is broken; otherwise it stands out
 */
export function wrapped(text: string, width: number, breaksWords = false): string {
  if (text === "") return text;
  const words = text.split(" ");
  const widest = breaksWords ? width : Number.POSITIVE_INFINITY;
  if (!isNarrow(text) || !words.every((word) => isPlain(word) && word.length <= widest)) {
    return wrapAnsi(text, width, { hard: breaksWords });
  }
  const lines: string[] = [];
  for (const word of words) {
    const line = lines.at(-1);
    if (line === undefined || line.length + 1 + word.length > width) lines.push(word);
    else lines[lines.length - 1] = `${line} ${word}`;
  }
  return lines.join("\n");
}

/** Whether a word begins with something to see: spaces at the start of a line are taken away. */
function isPlain(word: string): boolean {
  return word !== "" && !word.startsWith("\u00A0");
}
