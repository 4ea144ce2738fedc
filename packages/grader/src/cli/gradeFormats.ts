import type { Voice } from "../model/feedback.ts";
import type { FrameResult, RunSummary } from "../model/result.ts";
import type { CsvFlags } from "../output/text/csvColumns.ts";
import { gradeCsv } from "../output/text/gradeCsv.ts";
import { gradeMarkdown } from "../output/text/gradeMarkdown.ts";
import { gradeTable } from "../output/text/gradeTable.ts";
import { gradeJson, rowsNdjson } from "../output/text/json.ts";
import type { RowWriter } from "../output/text/rowWriter.ts";
import { counted, NOTHING_COUNTED } from "../output/text/summarise.ts";
import { EXIT } from "./exitCodes.ts";
import { lineWidth, paintFor } from "./output.ts";
import type { Streams } from "./streams.ts";
import { type RowFlags, type RowOutput, writeRows } from "./writeRows.ts";

/** How graded rows are wanted. */
export interface GradeOutput extends RowFlags, CsvFlags {
  readonly failOnMiss?: true;
}

/** How graded rows are wanted, and what they hold. */
type WantedRows = GradeOutput & {
  /** To whom the grades in words are spoken; null without words. */
  readonly voice: Voice | null;
  /** Whether they are of several runs. */
  readonly joined?: boolean;
};

/**
 * Writes graded rows as they come, and counts them.
 *
 * @param total - rows to come; null where that is not known
 */
export async function writeGrades(
  rows: AsyncIterable<FrameResult>,
  total: number | null,
  flags: WantedRows & RowOutput,
  streams: Streams,
): Promise<RunSummary> {
  let summary = NOTHING_COUNTED;
  await writeRows(rows, total, writerFor(flags, streams), flags, streams, (row) => {
    summary = counted(summary, row);
  });
  return summary;
}

/** The exit code for a run's rows. */
export function gradeExit(
  { over, under, failed }: RunSummary,
  { failOnMiss }: Pick<GradeOutput, "failOnMiss">,
): number {
  // A frame that could not be read was not judged: that comes first.
  if (failed > 0) return EXIT.unreadable;
  return failOnMiss && over + under > 0 ? EXIT.missed : EXIT.ok;
}

function writerFor(
  { format, output, voice, ...flags }: WantedRows,
  streams: Streams,
): RowWriter<FrameResult> {
  const spoken = voice !== null;
  switch (format) {
    case "json":
      return gradeJson();
    case "ndjson":
      return rowsNdjson();
    case "csv":
      return gradeCsv({ ...flags, spoken });
    case "markdown":
      return gradeMarkdown({ spoken });
    case "table":
      return gradeTable({ width: lineWidth(streams, output), paint: paintFor(streams, output) });
  }
}
