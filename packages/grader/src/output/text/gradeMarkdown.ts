import type { FrameResult } from "../../model/result.ts";
import {
  boundedStopsText,
  errorText,
  outcomeText,
  placementText,
  safeText,
  settingsText,
} from "../../model/words.ts";
import { markdownHead, markdownLine } from "./markdownTable.ts";
import type { RowWriter } from "./rowWriter.ts";
import { counted, NOTHING_COUNTED, summaryText } from "./summarise.ts";

/**
 * Graded rows as a Markdown table with a summary line.
 *
 * @param spoken - whether the rows carry their grades in words
 */
export function gradeMarkdown({ spoken }: { readonly spoken: boolean }): RowWriter<FrameResult> {
  let summary = NOTHING_COUNTED;
  const head = ["Frame", "Settings", "Placed", "Fell", "Error, stops", "Verdict", "Basis"];
  return {
    head: markdownHead(spoken ? [...head, "In words"] : head),
    row: (row) => {
      summary = counted(summary, row);
      return markdownLine([
        safeText(row.file),
        settingsText(row.exposure),
        row.placement ? placementText(row.placement) : "-",
        row.fall ? boundedStopsText(row.fall) : "-",
        row.error ? errorText(row.error) : "-",
        row.failure ? `not graded: ${safeText(row.failure.message)}` : outcomeText(row),
        row.basis ?? "-",
        ...(spoken ? [words(row)] : []),
      ]);
    },
    end: () => `\n${summaryText(summary)}\n`,
  };
}

function words({ feedback }: FrameResult): string {
  return [feedback?.text, ...(feedback?.cautions ?? [])].join(" ").trim();
}
