import { naturalOrder } from "../model/naturalOrder.ts";
import { bracketExposures } from "./bracketExposures.ts";
import type { OpenedFrame } from "./bracketFrame.ts";
import { type BracketSearch, searchBracket } from "./searchBracket.ts";

/** A sentence that says in which usual order typed times would fit every frame; empty where none does. */
export function betterOrder(
  opened: readonly OpenedFrame[],
  times: readonly number[],
  channel: number,
): string {
  const rows = opened.map(({ row }) => row);
  const names = rows.map(({ file }) => file);
  const natural = [...names].sort(naturalOrder);
  const asText = [...names].sort();
  const rising = [...times].sort((a, b) => a - b);
  const orders: readonly (readonly [times: readonly number[], words: string])[] = [
    [
      names.map((name) => times[natural.indexOf(name)] as number),
      "The same times fit the files in the natural order of their names, 9 before 10: give them in that order.",
    ],
    [
      names.map((name) => times[asText.indexOf(name)] as number),
      "The same times fit the files in the order of their names as text, 10 before 9: give the files or the times in the other order.",
    ],
    [
      times.toReversed(),
      "The same times fit these files in reverse: type them from the last to the first.",
    ],
    [rising, "The same times fit these files from the shortest to the longest: type them so."],
    [
      rising.toReversed(),
      "The same times fit these files from the longest to the shortest: type them so.",
    ],
  ];
  for (const [order, words] of orders) {
    const search = searchBracket(opened, bracketExposures(rows, order), channel);
    if (everyFrameFits(search)) return ` ${words}`;
  }
  return "";
}

/** A frame without a residual is black or white, and fits anywhere. */
export function everyFrameFits({ response, frames }: BracketSearch): boolean {
  return (
    response !== null && frames.every(({ included, residual }) => included || residual === null)
  );
}
