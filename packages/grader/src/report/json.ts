import { type FrameResult, type ReadResult, SCHEMA_VERSION } from "../result.ts";
import type { RowWriter } from "./rowWriter.ts";
import { counted, NOTHING_COUNTED } from "./summarise.ts";

/** Graded rows as one JSON document with a summary. */
export function gradeJson(): RowWriter<FrameResult> {
  let summary = NOTHING_COUNTED;
  return {
    head: `{\n  "schemaVersion": ${SCHEMA_VERSION},\n  "frames": [`,
    row: (frame) => {
      const parted = summary.frames === 0 ? "" : ",";
      summary = counted(summary, frame);
      return `${parted}\n    ${indented(frame, 4)}`;
    },
    end: () => `${summary.frames === 0 ? "" : "\n  "}],\n  "summary": ${indented(summary, 2)}\n}\n`,
  };
}

/** Graded rows as ndjson. */
export function gradeNdjson(): RowWriter<FrameResult> {
  return { head: "", row: ndjsonLine, end: () => "" };
}

/** One row as a line of ndjson. */
export function ndjsonLine(row: ReadResult): string {
  return `${JSON.stringify({ schemaVersion: SCHEMA_VERSION, ...row })}\n`;
}

/** A value as it stands within a document, its first line left where it is. */
function indented(value: object, spaces: number): string {
  return JSON.stringify(value, null, 2).replaceAll("\n", `\n${" ".repeat(spaces)}`);
}
