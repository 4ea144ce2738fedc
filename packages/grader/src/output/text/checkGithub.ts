import type { CheckResult } from "../../model/checkResult.ts";
import { safeText } from "../../model/words.ts";
import {
  checkOutcomeText,
  checkSummaryText,
  type PlacedRow,
  placedRows,
  rowText,
} from "./checkWords.ts";

/**
 * A check as workflow commands, which GitHub Actions shows at each claim's line: an error where the check fails, a warning
 * where the set allows the outcome, and one notice with the counts.
 */
export function checkGithub(result: CheckResult): string {
  const open = placedRows(result).filter(({ row }) => row.outcome !== "kept");
  const notice = `::notice title=Tonefall::${data(checkSummaryText(result.sets.length, result.summary))}`;
  return `${[...open.map(annotation), notice].join("\n")}\n`;
}

function annotation(placed: PlacedRow): string {
  const { set, row } = placed;
  const at = [
    `file=${property(safeText(set.file))}`,
    `line=${row.line}`,
    `col=${row.column}`,
    `title=${property(safeText(`${row.id}: ${checkOutcomeText(row)}`))}`,
  ];
  return `::${row.fails ? "error" : "warning"} ${at.join(",")}::${data(rowText(placed))}`;
}

/** A command's message; characters that would end it are encoded. */
function data(text: string): string {
  return text.replaceAll("%", "%25").replaceAll("\r", "%0D").replaceAll("\n", "%0A");
}

/** A command's property, which a colon or comma would end as well. */
function property(text: string): string {
  return data(text).replaceAll(":", "%3A").replaceAll(",", "%2C");
}
