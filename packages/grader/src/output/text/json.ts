import { type FrameResult, type ReadResult, SCHEMA_VERSION } from "../../model/result.ts";
import type { RowWriter } from "./rowWriter.ts";
import { counted, NOTHING_COUNTED } from "./summarise.ts";

/**
 * A document as JSON. What could move a terminal's cursor or turn the direction of its text stands as an escape: the
 * same text to who reads JSON.
 *
 * @param indent - spaces a level; 0 for one line
 */
export function jsonText(document: object, indent = 2): string {
  return `${json(document, indent)}\n`;
}

function json(value: object, indent: number): string {
  return JSON.stringify(value, null, indent).replace(UNSEEN, (character) => {
    const units = character.split("").map((unit) => unit.charCodeAt(0).toString(16));
    return units.map((unit) => `\\u${unit.padStart(4, "0")}`).join("");
  });
}

/** Characters that show nothing of themselves, apart from JSON's own line ends. */
const UNSEEN = /[^\P{Cc}\n]|[\p{Cf}\p{Zl}\p{Zp}]/gu;

/** Graded rows as one JSON document with a summary. */
export function gradeJson(): RowWriter<FrameResult> {
  return rowsJson(NOTHING_COUNTED, counted);
}

/** Exposure records as one JSON document with a summary. */
export function readJson(): RowWriter<ReadResult> {
  return rowsJson({ frames: 0, failed: 0 }, ({ frames, failed }, { failure }: ReadResult) => ({
    frames: frames + 1,
    failed: failed + (failure ? 1 : 0),
  }));
}

function rowsJson<Row extends object, Summary extends { readonly frames: number }>(
  nothing: Summary,
  count: (summary: Summary, row: Row) => Summary,
): RowWriter<Row> {
  let summary = nothing;
  return {
    head: `{\n  "schemaVersion": ${SCHEMA_VERSION},\n  "frames": [`,
    row: (row) => {
      const parted = summary.frames === 0 ? "" : ",";
      summary = count(summary, row);
      return `${parted}\n    ${indented(row, 4)}`;
    },
    end: () => `${summary.frames === 0 ? "" : "\n  "}],\n  "summary": ${indented(summary, 2)}\n}\n`,
  };
}

/** Rows of any kind as ndjson. */
export function rowsNdjson(): RowWriter<ReadResult> {
  return { head: "", row: ndjsonLine, end: () => "" };
}

/** One row as a line of ndjson. */
function ndjsonLine(row: ReadResult): string {
  return jsonText({ schemaVersion: SCHEMA_VERSION, ...row }, 0);
}

/** A value as it stands within a document, its first line left where it is. */
function indented(value: object, spaces: number): string {
  return json(value, 2).replaceAll("\n", `\n${" ".repeat(spaces)}`);
}
