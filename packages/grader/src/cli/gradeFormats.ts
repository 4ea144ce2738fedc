import type { Voice } from "../model/feedback.ts";
import type { FrameResult, RunSummary } from "../model/result.ts";
import type { CsvFlags } from "../output/text/csvColumns.ts";
import { gradeCsv } from "../output/text/gradeCsv.ts";
import { gradeMarkdown } from "../output/text/gradeMarkdown.ts";
import { gradeTable, type Order } from "../output/text/gradeTable.ts";
import { gradeJson, rowsNdjson } from "../output/text/json.ts";
import type { RowWriter } from "../output/text/rowWriter.ts";
import { counted, NOTHING_COUNTED } from "../output/text/summarise.ts";
import type { GivenOptions } from "../output/text/whatNext.ts";
import { heldWorstFirst } from "../output/text/worstFirst.ts";
import { EXIT } from "./exitCodes.ts";
import { lineWidth, paintFor } from "./output.ts";
import type { Streams } from "./streams.ts";
import { type RowFlags, type RowOutput, writeRows } from "./writeRows.ts";

/** How graded rows are wanted. */
export interface GradeOutput extends RowFlags, CsvFlags {
  readonly failOnMiss?: true;
  /** @default "folder" */
  readonly sort?: Order;
}

/** What the forms of graded rows depend on besides. */
interface GradeContext {
  /** To whom the grades in words are spoken; null without words. */
  readonly voice: Voice | null;
  /** What the run was given already, for the step to try next; null where the rows are of an earlier run. */
  readonly given: GivenOptions;
}

/** How graded rows are wanted, and what they hold. */
type WantedRows = GradeOutput &
  GradeContext & {
    /** Whether they are of several runs. */
    readonly joined?: boolean;
  };

/**
 * Writes graded rows as they come, and counts them.
 *
 * @param total - rows to come; null where that is not known
 * @param also - receives each row before it is written
 */
export async function writeGrades(
  rows: AsyncIterable<FrameResult>,
  total: number | null,
  flags: WantedRows & RowOutput,
  streams: Streams,
  also: (row: FrameResult) => void = () => undefined,
): Promise<RunSummary> {
  let summary = NOTHING_COUNTED;
  const seen = (row: FrameResult): void => {
    summary = counted(summary, row);
    also(row);
  };
  // The table sorts the little that it keeps of its rows; other forms need each row whole.
  const order = flags.sort === "worst" && flags.format !== "table" ? heldWorstFirst : undefined;
  const writer = gradeWriter(flags, streams);
  await writeRows({ rows, total, writer, seen, ...(order ? { order } : {}) }, flags, streams);
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

/** The writer for the form that graded rows are wanted in. */
export function gradeWriter(
  { format, output, voice, sort, given, ...flags }: WantedRows,
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
      return gradeTable({
        width: lineWidth(streams, output),
        paint: paintFor(streams, output),
        voice,
        given,
        ...(sort ? { order: sort } : {}),
      });
  }
}
