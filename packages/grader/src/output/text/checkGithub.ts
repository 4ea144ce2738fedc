import type { CheckResult } from "../../model/checkResult.ts";
import { safeText } from "../../model/words.ts";
import {
  checkOutcomeText,
  checkSummaryText,
  type ReadableRow,
  readableRows,
  readableRowText,
} from "./checkWords.ts";

/**
 * A check as workflow commands, which GitHub Actions shows at each claim's line: an error where the check fails, a warning
 * where the set allows the outcome, and one notice with the counts. Few are shown of a step, so that a frame that could not be
 * read has one.
 */
export function checkGithub(result: CheckResult): string {
  const open = readableRows(result).filter(({ row }) => row.outcome !== "kept");
  const notice = `::notice title=Tonefall::${data(checkSummaryText(result.sets.length, result.summary))}`;
  return `${[...open.map(annotation), notice].join("\n")}\n`;
}

function annotation(readable: ReadableRow): string {
  const { set, row } = readable;
  const at = [
    `file=${property(safeText(set.file))}`,
    `line=${row.line}`,
    `col=${row.column}`,
    `title=${property(safeText(`${row.id}: ${checkOutcomeText(row)}`))}`,
  ];
  return `::${row.fails ? "error" : "warning"} ${at.join(",")}::${data(readableRowText(readable))}`;
}

/** A command's message; characters that would end it are encoded. */
function data(text: string): string {
  return text.replaceAll("%", "%25").replaceAll("\r", "%0D").replaceAll("\n", "%0A");
}

/** A command's property, which a colon or comma would end as well. */
function property(text: string): string {
  return data(text).replaceAll(":", "%3A").replaceAll(",", "%2C");
}
