import type { RowWriter } from "../report/rowWriter.ts";
import type { Format } from "./options.ts";
import { writeTexts } from "./output.ts";
import { withProgress } from "./progress.ts";
import type { Streams } from "./streams.ts";

/** How rows are wanted. */
export interface RowOutput {
  readonly format: Format;
  readonly output?: string;
}

/**
 * Writes rows as they come, while a bar counts them.
 *
 * @param total - rows to come; null where that is not known, and no bar can tell what is left
 * @param seen - is shown each row before it is written
 */
export async function writeRows<Row>(
  rows: AsyncIterable<Row>,
  total: number | null,
  writer: RowWriter<Row>,
  { format, output }: RowOutput,
  streams: Streams,
  seen: (row: Row) => void,
): Promise<void> {
  // A bar would stand between the rows where both go to one terminal.
  const rowsOnTerminal = streams.stdout.isTTY && output === undefined && format !== "table";
  async function* texts(): AsyncGenerator<string> {
    yield writer.head;
    for await (const row of rowsOnTerminal ? rows : withProgress(rows, total ?? 0, streams)) {
      seen(row);
      yield writer.row(row);
    }
    yield writer.end();
  }
  await writeTexts(texts(), output, streams);
}
