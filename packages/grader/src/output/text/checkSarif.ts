import type { CheckResult } from "../../model/checkResult.ts";
import { safeText } from "../../model/words.ts";
import { type PlacedRow, placedRows, rowText } from "./checkWords.ts";
import { jsonText } from "./json.ts";

/**
 * A check as SARIF 2.1.0: one result for each claim that was not kept, at its line in the set file. It is an error where
 * the check fails, and a note where the set allows the outcome.
 *
 * @param version - of Tonefall
 */
export function checkSarif(result: CheckResult, version: string): string {
  const open = placedRows(result).filter(({ row }) => row.outcome !== "kept");
  const codes = [...new Set(open.map(({ row }) => row.code))].sort();
  const log = {
    $schema: "https://json.schemastore.org/sarif-2.1.0.json",
    version: "2.1.0",
    runs: [
      {
        tool: {
          driver: {
            name: "Tonefall",
            semanticVersion: version,
            rules: codes.map((id) => ({ id, shortDescription: { text: id.replaceAll("-", " ") } })),
          },
        },
        columnKind: "utf16CodeUnits",
        results: open.map((placed) => sarifResult(placed, codes)),
      },
    ],
  };
  return jsonText(log);
}

function sarifResult(placed: PlacedRow, codes: readonly string[]): object {
  const { set, row } = placed;
  const uri = set.file.split("/").map(encodeURIComponent).join("/");
  return {
    ruleId: row.code,
    ruleIndex: codes.indexOf(row.code),
    level: row.fails ? "error" : "note",
    message: { text: `${safeText(row.id)}: ${rowText(placed)}` },
    locations: [
      {
        physicalLocation: {
          artifactLocation: { uri },
          region: { startLine: row.line, startColumn: row.column },
        },
      },
    ],
    partialFingerprints: { "claim/v1": `${set.file}#${row.id}#${row.code}` },
  };
}
