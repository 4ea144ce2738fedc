import { pairedRows } from "@tonefall/tone-core";
import type { SensorRectangle } from "../rawSensor.ts";
import type { ChannelBlack } from "./blackLevels.ts";
import type { FilterCell } from "./filterCell.ts";

/** Sensor samples as a decoder gives them: row by row, `planes` to a position. */
export interface SensorSamples {
  /** Positions across and down, from the sensor's corner. */
  readonly width: number;
  readonly height: number;
  readonly planes: number;
  readonly samples: Uint16Array;
}

/** Which samples of a sensor are a picture's, and how they lie. */
export interface CellGeometry {
  readonly cell: FilterCell;
  /** The part to gather. */
  readonly picture: SensorRectangle;
  /** The active area, where black's pattern starts. */
  readonly activeArea: SensorRectangle;
}

/** Black and white of each channel, codes. */
interface ChannelLevels {
  readonly black: ChannelBlack;
  readonly whites: readonly number[];
}

/** Cells across and down. */
interface CellGrid {
  readonly width: number;
  readonly height: number;
}

/**
 * Samples of a picture, cell by cell: the channels of one repeat of the filter pattern side by side.
 *
 * Columns and rows at the far edges that do not fill a whole cell are left out. Where black varies within a channel, each
 * sample is raised by the difference of its own black, rounded to a code; a sample below white stays below it and one at
 * white stays clipped.
 *
 * @param sensor - the whole sensor
 * @param where - whether the cells get memory of their own, or are written over the sensor's samples
 */
export function gatherCells(
  sensor: SensorSamples,
  geometry: CellGeometry,
  levels: ChannelLevels,
  where: "apart" | "in-place",
): CellGrid & { samples: Uint16Array } {
  const { cell, picture } = geometry;
  const width = Math.floor(picture.width / cell.columns);
  const height = Math.floor(picture.height / cell.rows);
  const length = width * height * cell.sites.length;
  const gathered = where === "apart" ? new Uint16Array(length) : sensor.samples.subarray(0, length);
  if (isPlainBayer(sensor, cell)) {
    const { left, top } = picture;
    pairedRows(
      { samples: sensor.samples, pitch: sensor.width, left, top },
      width,
      height,
      gathered,
    );
  } else gatherSites(sensor, geometry, { width, height }, gathered);
  raiseToOneBlack(gathered, { width, height }, geometry, levels);
  return { width, height, samples: gathered };
}

function gatherSites(
  { samples, width: across, planes }: SensorSamples,
  { cell, picture }: CellGeometry,
  { width, height }: CellGrid,
  gathered: Uint16Array,
): void {
  const stride = across * planes;
  const channels = cell.sites.length;
  // Cells may be written over the samples of their own rows, never over those of rows to come.
  const rows = new Uint16Array(cell.rows * stride);
  for (let y = 0; y < height; y++) {
    const top = (picture.top + y * cell.rows) * stride;
    rows.set(samples.subarray(top, top + rows.length));
    const end = (y + 1) * width * channels;
    for (const [channel, site] of cell.sites.entries()) {
      let from = site.row * stride + (picture.left + site.column) * planes + site.plane;
      for (let to = y * width * channels + channel; to < end; to += channels) {
        gathered[to] = rows[from] as number;
        from += cell.columns * planes;
      }
    }
  }
}

/** Whether cells are two by two, read across and then down, as those of nearly every sensor. */
function isPlainBayer({ planes }: SensorSamples, { rows, columns, sites }: FilterCell): boolean {
  return (
    planes === 1 &&
    rows === 2 &&
    columns === 2 &&
    sites.every(({ row, column }, channel) => channel === 2 * row + column)
  );
}

/** Raises each sample by the difference of its own black; does nothing where black is the same all over a channel. */
function raiseToOneBlack(
  gathered: Uint16Array,
  { width, height }: CellGrid,
  { cell, picture, activeArea }: CellGeometry,
  { black: { excess }, whites }: ChannelLevels,
): void {
  if (!excess) return;
  let at = 0;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      for (const [channel, site] of cell.sites.entries()) {
        const sample = gathered[at] as number;
        const white = whites[channel] as number;
        if (sample < white) {
          const row = picture.top - activeArea.top + y * cell.rows + site.row;
          const column = picture.left - activeArea.left + x * cell.columns + site.column;
          const raised = sample + Math.round(excess(row, column, channel));
          gathered[at] = Math.min(raised, Math.ceil(white) - 1);
        }
        at++;
      }
    }
  }
}
