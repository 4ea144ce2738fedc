import type { Voice } from "../feedback/feedback.ts";
import { gradeCsv } from "../report/gradeCsv.ts";
import { gradeMarkdown } from "../report/gradeMarkdown.ts";
import { gradeTable } from "../report/gradeTable.ts";
import { gradeJson, gradeNdjson } from "../report/json.ts";
import type { RowWriter } from "../report/rowWriter.ts";
import { counted, NOTHING_COUNTED } from "../report/summarise.ts";
import type { FrameResult, RunSummary } from "../result.ts";
import { EXIT } from "./exitCodes.ts";
import type { Format } from "./options.ts";
import { lineWidth, paintFor, writeTexts } from "./output.ts";
import type { Streams } from "./streams.ts";

/** How graded rows are wanted. */
export interface GradeOutput {
  readonly format: Format;
  readonly output?: string;
  readonly failOnMiss?: true;
}

/** Writes graded rows as they come, and counts them. */
export async function writeGrades(
  rows: AsyncIterable<FrameResult>,
  { format, output, voice }: GradeOutput & { readonly voice: Voice | null },
  streams: Streams,
): Promise<RunSummary> {
  const writer = writerFor(format, { output, spoken: voice !== null }, streams);
  let summary = NOTHING_COUNTED;
  async function* texts(): AsyncGenerator<string> {
    yield writer.head;
    for await (const row of rows) {
      summary = counted(summary, row);
      yield writer.row(row);
    }
    yield writer.end();
  }
  await writeTexts(texts(), output, streams);
  return summary;
}

/** The exit code that a run's rows come to. */
export function gradeExit(
  { over, under, failed }: RunSummary,
  { failOnMiss }: Pick<GradeOutput, "failOnMiss">,
): number {
  // What could not be read was not judged either: that comes first.
  if (failed > 0) return EXIT.unreadable;
  return failOnMiss && over + under > 0 ? EXIT.missed : EXIT.ok;
}

function writerFor(
  format: Format,
  { output, spoken }: { readonly output: string | undefined; readonly spoken: boolean },
  streams: Streams,
): RowWriter<FrameResult> {
  switch (format) {
    case "json":
      return gradeJson();
    case "ndjson":
      return gradeNdjson();
    case "csv":
      return gradeCsv({ spoken });
    case "markdown":
      return gradeMarkdown({ spoken });
    case "table":
      return gradeTable({ width: lineWidth(streams, output), paint: paintFor(streams, output) });
  }
}
