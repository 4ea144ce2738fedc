import { type FrameResult, type ReadResult, SCHEMA_VERSION } from "../result.ts";
import { summarise } from "./summarise.ts";

/** Graded rows as one JSON document with a summary. */
export function gradeJson(frames: readonly FrameResult[]): string {
  const document = { schemaVersion: SCHEMA_VERSION, frames, summary: summarise(frames) };
  return `${JSON.stringify(document, null, 2)}\n`;
}

/** One row as a line of ndjson. */
export function ndjsonLine(row: ReadResult): string {
  return `${JSON.stringify({ schemaVersion: SCHEMA_VERSION, ...row })}\n`;
}
