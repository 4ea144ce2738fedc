import wrapAnsi from "wrap-ansi";
import { isNarrow } from "./textWidth.ts";

/** A text whose words are set apart by single spaces. */
const PLAIN_WORDS = /^[^ ]+(?: [^ ]+)*$/;

/**
 * A text in lines of at most `width` columns, broken between words.
 *
 * @param breaksWords - whether a word that is wider than a line is broken; otherwise it stands out
 */
export function wrapped(text: string, width: number, breaksWords = false): string {
  const words = text.split(" ");
  const plain = isNarrow(text) && PLAIN_WORDS.test(text);
  if (!plain || (breaksWords && words.some(({ length }) => length > width))) {
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
