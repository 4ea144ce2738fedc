import { safeText } from "../report/words.ts";
import type { Streams } from "./streams.ts";

/** Says something on stderr, in the command's name. */
export function tell({ stderr }: Pick<Streams, "stderr">, what: string): void {
  stderr.write(`tonefall: ${safeLines(what)}\n`);
}

/** A text of several lines without what a name in it could move a terminal's cursor by. */
export function safeLines(text: string): string {
  return text.split("\n").map(safeText).join("\n");
}
