import type { FrameResult } from "../result.ts";
import { markdownTable } from "./markdownTable.ts";
import { summarise, summaryText } from "./summarise.ts";
import {
  boundedStopsText,
  errorText,
  outcomeText,
  placementText,
  safeText,
  settingsText,
} from "./words.ts";

/** Graded rows as a Markdown table with a summary line. */
export function gradeMarkdown(frames: readonly FrameResult[]): string {
  const spoken = frames.some(({ feedback }) => feedback !== undefined);
  const rows = frames.map((row) => [
    safeText(row.file),
    settingsText(row.exposure),
    row.placement ? placementText(row.placement) : "-",
    row.fall ? boundedStopsText(row.fall) : "-",
    row.error ? errorText(row.error) : "-",
    row.failure ? `not graded: ${safeText(row.failure.message)}` : outcomeText(row),
    row.basis ?? "-",
    ...(spoken ? [[row.feedback?.text, ...(row.feedback?.cautions ?? [])].join(" ").trim()] : []),
  ]);
  const head = ["Frame", "Settings", "Placed", "Fell", "Error, stops", "Verdict", "Basis"];
  if (spoken) head.push("In words");
  return `${markdownTable(head, rows)}\n${summaryText(summarise(frames))}\n`;
}
