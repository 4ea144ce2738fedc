/** A form of result that is written row by row, so that a run of any length need not keep its rows. */
export interface RowWriter<Row> {
  /** What stands before the first row. */
  readonly head: string;
  /** What a row adds; rows come in the order of the run. */
  readonly row: (row: Row) => string;
  /** What stands after the last row. */
  readonly end: () => string;
}

/**
 * A form that is written when all rows have come, as a table for a terminal, whose columns are as wide as any of them
 * needs.
 *
 * @param keep - what of a row the form needs; the rest is let go
 * @param text - all of it
 */
export function writtenAtEnd<Row, Kept>(
  keep: (row: Row) => Kept,
  text: (kept: readonly Kept[]) => string,
): RowWriter<Row> {
  const kept: Kept[] = [];
  return {
    head: "",
    row: (row) => {
      kept.push(keep(row));
      return "";
    },
    end: () => text(kept),
  };
}
