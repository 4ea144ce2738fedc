import { stringify } from "yaml";
import type { CheckResult } from "../../model/checkResult.ts";
import { safeText } from "../../model/words.ts";
import { checkOutcomeText, type PlacedRow, placedRows, rowPlace } from "./checkWords.ts";

/** A check in the Test Anything Protocol, version 14: with one test point for each claim. One that was not kept shows what was measured. */
export function checkTap(result: CheckResult): string {
  const rows = placedRows(result);
  const lines = ["TAP version 14", `1..${rows.length}`, ...rows.map(testPoint)];
  return `${lines.join("\n")}\n`;
}

function testPoint(placed: PlacedRow, index: number): string {
  const { row } = placed;
  const point = `${row.fails ? "not ok" : "ok"} ${index + 1} - ${description(row.id)}`;
  if (row.outcome === "kept") return point;
  const diagnostics = stringify(
    {
      outcome: checkOutcomeText(row),
      code: row.code,
      message: safeText(row.sentence),
      expected: safeText(row.expected),
      measured: row.measured === null ? null : safeText(row.measured),
      at: rowPlace(placed),
    },
    { lineWidth: 0 },
  );
  return [point, "---", ...diagnostics.trimEnd().split("\n"), "..."].join("\n  ");
}

/** A name, with the characters escaped that would start a directive. */
function description(text: string): string {
  return safeText(text).replaceAll("\\", "\\\\").replaceAll("#", "\\#");
}
