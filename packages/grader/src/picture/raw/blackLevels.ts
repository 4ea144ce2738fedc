import type { SensorRectangle } from "../rawSensor.ts";
import type { StatedBlack } from "./dngTags.ts";
import type { FilterCell } from "./filterCell.ts";

/** Black as the raster's channels need it. */
export interface ChannelBlack {
  /** Black level of each channel, in codes; what {@link excess} leaves. */
  readonly levels: readonly number[];
  /** The largest black of each channel's plane anywhere: with white, it sets the scale [DNG, chapter 5]. */
  readonly largest: readonly number[];
  /**
   * How far black at a position of the active area lies below its channel's level: to be added to the sample. Null when
   * every position of a channel has the same black.
   */
  readonly excess: ((row: number, column: number, channel: number) => number) | null;
}

/**
 * Black of every channel from what a file states.
 *
 * A pattern that fits the filter cell gives one level a channel. A longer pattern, or levels of single columns or rows,
 * vary within a channel: the channel gets the largest of its levels, and each sample the difference from its own.
 *
 * @param stated - from the active area's corner
 * @param area - the active area
 * @param cell - the repeat cell at the picture's corner
 * @param picture - the picture within the sensor
 */
export function channelBlack(
  stated: StatedBlack,
  area: SensorRectangle,
  cell: FilterCell,
  picture: SensorRectangle,
): ChannelBlack {
  const planes = Math.max(...cell.sites.map(({ plane }) => plane)) + 1;
  const { rows, columns, values, columnDeltas, rowDeltas } = stated;
  const blackAt = (row: number, column: number, plane: number): number =>
    (values[((row % rows) * columns + (column % columns)) * planes + plane] as number) +
    (columnDeltas?.[column] ?? 0) +
    (rowDeltas?.[row] ?? 0);

  const levels = cell.sites.map((site) =>
    largestOver(
      (row, column) => blackAt(row, column, site.plane),
      classes(site.row + picture.top - area.top, cell.rows, rows, area.height, rowDeltas),
      classes(
        site.column + picture.left - area.left,
        cell.columns,
        columns,
        area.width,
        columnDeltas,
      ),
    ),
  );
  const largest = cell.sites.map(({ plane }) =>
    Math.max(
      ...cell.sites.flatMap((site, i) => (site.plane === plane ? (levels[i] as number) : [])),
    ),
  );
  const fits =
    !columnDeltas && !rowDeltas && cell.rows % rows === 0 && cell.columns % columns === 0;
  return {
    levels,
    largest,
    excess: fits
      ? null
      : (row, column, channel) => {
          const { plane } = cell.sites[channel] as { plane: number };
          return (levels[channel] as number) - blackAt(row, column, plane);
        },
  };
}

/**
 * Rows (or columns) that stand for all rows of a channel: one of each remainder of the black pattern, the one with the
 * largest delta.
 */
function classes(
  first: number,
  step: number,
  period: number,
  end: number,
  deltas: readonly number[] | null,
): readonly number[] {
  const best = new Map<number, number>();
  for (let at = first % step; at < end; at += step) {
    const other = best.get(at % period);
    if (other === undefined || (deltas?.[at] ?? 0) > (deltas?.[other] ?? 0))
      best.set(at % period, at);
  }
  return [...best.values()];
}

function largestOver(
  value: (row: number, column: number) => number,
  rows: readonly number[],
  columns: readonly number[],
): number {
  let largest = Number.NEGATIVE_INFINITY;
  for (const row of rows)
    for (const column of columns) largest = Math.max(largest, value(row, column));
  return largest;
}
