/** A form of result that is written row by row, so that a run of any length need not keep its rows. */
export interface RowWriter<Row> {
  /** What stands before the first row. */
  readonly head: string;
  /** What a row adds; rows come in the order of the run. */
  readonly row: (row: Row) => string;
  /** What stands after the last row. */
  readonly end: () => string;
}

/** Rows that are all at hand, written. */
export function written<Row>({ head, row, end }: RowWriter<Row>, rows: readonly Row[]): string {
  return [head, ...rows.map(row), end()].join("");
}
