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

/** Rows to write, and what is done with each. */
export interface RowRun<Row> {
  readonly rows: AsyncIterable<Row>;
  /** Rows to come; null where that is not known, so that there is no progress bar. */
  readonly total: number | null;
  readonly writer: RowWriter<Row>;
  /** Called with each row before it is written. */
  readonly seen: (row: Row) => void;
  /**
   * Changes the order of rows.
   * @default as they come
   */
  readonly order?: (rows: AsyncIterable<Row>) => AsyncIterable<Row>;
}

/** Writes rows as they come, with a progress bar. */
export async function writeRows<Row>(
  { rows, total, writer, seen, order = (coming) => coming }: RowRun<Row>,
  { format, place }: RowOutput,
  streams: Streams,
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
