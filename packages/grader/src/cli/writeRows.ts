import type { RowWriter } from "../output/text/rowWriter.ts";
import type { WritePlace } from "../run/write/writePlace.ts";
import type { Format } from "./options.ts";
import { writeTexts } from "./output.ts";
import { withProgress } from "./progress.ts";
import type { Streams } from "./streams.ts";

/** How rows are wanted. */
export interface RowFlags {
  readonly format: Format;
  readonly output?: string;
  readonly force?: true;
}

/** How rows are wanted, and the place claimed for them: null for stdout. */
export interface RowOutput extends RowFlags {
  readonly place: WritePlace | null;
}

/**
 * Writes rows as they come, with a progress bar.
 *
 * @param total - rows to come; null where that is not known, so that there is no progress bar
 * @param seen - called with each row before it is written
 * @param order - changes the order of rows; left out where they are written as they come
 */
export async function writeRows<Row>(
  rows: AsyncIterable<Row>,
  total: number | null,
  writer: RowWriter<Row>,
  { format, place }: RowOutput,
  streams: Streams,
  seen: (row: Row) => void,
  order: (rows: AsyncIterable<Row>) => AsyncIterable<Row> = (rows) => rows,
): Promise<void> {
  // On one terminal the bar would stand between the rows.
  const rowsOnTerminal = streams.stdout.isTTY && place === null && format !== "table";
  async function* texts(): AsyncGenerator<string> {
    yield writer.head;
    const coming = rowsOnTerminal ? rows : withProgress(rows, total ?? 0, streams);
    for await (const row of order(coming)) {
      seen(row);
      yield writer.row(row);
    }
    yield writer.end();
  }
  await writeTexts(texts(), place, streams);
}
