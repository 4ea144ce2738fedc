import { cutText } from "@tonefall/tone-core";
import { safeText } from "../model/words.ts";
import type { Streams } from "./streams.ts";

/** Characters of a message that a person can be expected to read. */
const MOST_OF_MESSAGE = 4000;

/** Says something on stderr, in the command's name, with the code of an error after its first line. */
export function tell({ stderr }: Pick<Streams, "stderr">, what: string, code?: string): void {
  const [sentence = "", ...below] = safeLines(what).split("\n");
  const closed = code === undefined ? sentence : `${sentence} [${code}]`;
  stderr.write(`tonefall: ${[closed, ...below].join("\n")}\n`);
}

/** A text of several lines, cut to a readable length, without characters that could move a terminal's cursor. */
export function safeLines(text: string): string {
  return cutText(text, MOST_OF_MESSAGE).split("\n").map(safeText).join("\n");
}
