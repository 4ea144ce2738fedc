import type { CheckResult } from "../../model/checkResult.ts";
import { safeText } from "../../model/words.ts";
import {
  checkOutcomeText,
  checkSummaryText,
  readableRows,
  readableSentence,
} from "./checkWords.ts";
import { markdownTable } from "./markdownTable.ts";

/** A check as a short Markdown summary for the page of a CI job: the counts, and the claims that were not kept. */
export function checkMarkdown(result: CheckResult): string {
  const { sets, summary } = result;
  const open = readableRows(result).filter(({ row }) => row.outcome !== "kept");
  const verdict =
    summary.failing === 0 ? "All claims hold" : `${summary.failing} claims do not hold`;
  const heading = `### ${summary.failing === 1 ? "1 claim does not hold" : verdict}`;
  const parts = [heading, checkSummaryText(sets.length, summary)];
  if (open.length > 0) {
    const rows = open.map((readable) => {
      const { set, row } = readable;
      return [
        safeText(row.id),
        checkOutcomeText(row),
        safeText(row.expected),
        safeText(row.measured ?? "-"),
        `${readableSentence(readable)} (${safeText(set.file)}, line ${row.line}, ${row.code})`,
      ];
    });
    parts.push(markdownTable(["Claim", "Outcome", "Expected", "Measured", "What happened"], rows));
  }
  return `${parts.join("\n\n").trimEnd()}\n`;
}
