import { safeText } from "../../model/words.ts";
import type { MeterResult } from "../../run/meterFrame.ts";
import { markdownHead, markdownLine } from "./markdownTable.ts";
import { cellText, lightText, type MeterRow, meterRows, patternText } from "./meterRows.ts";
import type { RowWriter } from "./rowWriter.ts";

/** Metered frames as a Markdown table, a row for each pattern. */
export function meterMarkdown(): RowWriter<MeterResult> {
  const head = ["Frame", "Fell", "Pattern", "Reads", "Fall if followed", "Basis", "Light"];
  const line = (row: MeterRow): string =>
    markdownLine([
      safeText(row.frame.file),
      cellText(row.frame.fall),
      row.frame.failure ? `not metered: ${safeText(row.frame.failure.message)}` : patternText(row),
      cellText(row.reading),
      cellText(row.reading?.fallIfFollowed),
      row.frame.basis ?? "-",
      lightText(row.frame),
    ]);
  return {
    head: markdownHead(head),
    row: (frame) => meterRows(frame).map(line).join(""),
    end: () => "",
  };
}
