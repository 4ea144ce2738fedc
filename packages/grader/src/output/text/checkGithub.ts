import type { CheckResult } from "../../model/checkResult.ts";
import { safeText } from "../../model/words.ts";
import { checkSummaryText, type PlacedRow, placedRows, rowText } from "./checkWords.ts";

/**
 * A check as workflow commands of GitHub Actions, which shows them at the claim's line: errors for what fails, warnings
 * for what the set allows, and a notice that counts.
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
    `title=${property(safeText(`${row.id}: ${row.outcome}`))}`,
  ];
  return `::${row.fails ? "error" : "warning"} ${at.join(",")}::${data(rowText(placed))}`;
}

/** The message of a command: what would end it is encoded. */
function data(text: string): string {
  return text.replaceAll("%", "%25").replaceAll("\r", "%0D").replaceAll("\n", "%0A");
}

/** A property of a command, which colons and commas would end too. */
function property(text: string): string {
  return data(text).replaceAll(":", "%3A").replaceAll(",", "%2C");
}
