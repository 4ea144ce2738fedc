import type { ChannelBlack } from "./blackLevels.ts";
import type { SensorRectangle } from "./dngTags.ts";
import type { FilterCell } from "./filterCell.ts";

/** Sensor samples as a decoder gives them: row by row, `planes` to a position. */
export interface SensorSamples {
  /** Positions across and down, from the sensor's corner. */
  readonly width: number;
  readonly height: number;
  readonly planes: number;
  readonly samples: Uint16Array;
}

/**
 * Samples of a picture, cell by cell: the channels of one repeat of the filter pattern side by side. They take the
 * sensor's place in memory, which is not to be read afterwards.
 *
 * Columns and rows at the far edges that fill no whole cell are left out. Where black varies within a channel, each
 * sample is raised by what its own black misses, rounded to a code; a sample below white stays below it and one at white
 * stays clipped.
 *
 * @param sensor - the whole sensor
 * @param picture - the part to gather
 * @param area - the active area, where black's pattern starts
 * @param whites - white level of each channel
 */
export function gatherCells(
  sensor: SensorSamples,
  cell: FilterCell,
  picture: SensorRectangle,
  area: SensorRectangle,
  black: ChannelBlack,
  whites: readonly number[],
): { width: number; height: number; samples: Uint16Array } {
  const width = Math.floor(picture.width / cell.columns);
  const height = Math.floor(picture.height / cell.rows);
  const channels = cell.sites.length;
  const { samples, planes } = sensor;
  const raised = (
    gathered: Uint16Array,
  ): { width: number; height: number; samples: Uint16Array } => {
    if (black.excess) {
      raiseToOneBlack(gathered, { width, height }, cell, picture, area, black.excess, whites);
    }
    return { width, height, samples: gathered };
  };
  const stride = sensor.width * planes;
  const gathered = samples.subarray(0, width * height * channels);
  if (isPlainBayer(sensor, cell, picture)) {
    gatherPairs(sensor, picture, width, height);
    return raised(gathered);
  }
  // A band of rows gives one row of cells, which lies no further down than the band did: what is written has been read.
  const band = new Uint16Array(cell.rows * stride);
  for (let y = 0; y < height; y++) {
    const top = (picture.top + y * cell.rows) * stride;
    band.set(samples.subarray(top, top + band.length));
    const end = (y + 1) * width * channels;
    for (const [channel, site] of cell.sites.entries()) {
      let from = site.row * stride + (picture.left + site.column) * planes + site.plane;
      for (let to = y * width * channels + channel; to < end; to += channels) {
        samples[to] = band[from] as number;
        from += cell.columns * planes;
      }
    }
  }
  return raised(gathered);
}

/**
 * Whether cells are two by two, read across and then down, and begin at an even sample: then the samples of a cell are
 * two pairs, each four bytes.
 */
function isPlainBayer(
  { samples, planes, width }: SensorSamples,
  { rows, columns, sites }: FilterCell,
  { left }: SensorRectangle,
): boolean {
  return (
    planes === 1 &&
    rows === 2 &&
    columns === 2 &&
    sites.every(({ row, column }, channel) => channel === 2 * row + column) &&
    left % 2 === 0 &&
    width % 2 === 0 &&
    samples.byteOffset % 4 === 0
  );
}

/** Gathers cells of two pairs; as fast as copying. */
function gatherPairs(
  sensor: SensorSamples,
  picture: SensorRectangle,
  width: number,
  height: number,
): void {
  const { samples } = sensor;
  const pairs = new Uint32Array(samples.buffer, samples.byteOffset, samples.length >> 1);
  const across = sensor.width >> 1;
  const band = new Uint32Array(2 * across);
  let to = 0;
  for (let y = 0; y < height; y++) {
    const top = (picture.top + 2 * y) * across;
    band.set(pairs.subarray(top, top + band.length));
    let from = picture.left >> 1;
    for (const end = to + 2 * width; to < end; from++) {
      pairs[to++] = band[from] as number;
      pairs[to++] = band[across + from] as number;
    }
  }
}

function raiseToOneBlack(
  gathered: Uint16Array,
  { width, height }: { width: number; height: number },
  cell: FilterCell,
  picture: SensorRectangle,
  area: SensorRectangle,
  excess: NonNullable<ChannelBlack["excess"]>,
  whites: readonly number[],
): void {
  let at = 0;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      for (const [channel, site] of cell.sites.entries()) {
        const sample = gathered[at] as number;
        const white = whites[channel] as number;
        if (sample < white) {
          const row = picture.top - area.top + y * cell.rows + site.row;
          const column = picture.left - area.left + x * cell.columns + site.column;
          const raised = sample + Math.round(excess(row, column, channel));
          gathered[at] = Math.min(raised, Math.ceil(white) - 1);
        }
        at++;
      }
    }
  }
}
