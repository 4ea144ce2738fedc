import type { MeterResult } from "../run/meterFrame.ts";
import { markdownTable } from "./markdownTable.ts";
import { cellText, lightText, meterRows, patternText } from "./meterRows.ts";
import { safeText } from "./words.ts";

/** Metered frames as a Markdown table, a row for each pattern. */
export function meterMarkdown(frames: readonly MeterResult[]): string {
  const rows = meterRows(frames).map((row) => [
    safeText(row.frame.file),
    cellText(row.frame.fall),
    row.frame.failure ? `not metered: ${safeText(row.frame.failure.message)}` : patternText(row),
    cellText(row.reading),
    cellText(row.reading?.fallIfFollowed),
    row.frame.basis ?? "-",
    lightText(row.frame),
  ]);
  const head = ["Frame", "Fell", "Pattern", "Reads", "Fall if followed", "Basis", "Light"];
  return markdownTable(head, rows);
}
