import type { SensorRectangle } from "../rawSensor.ts";
import type { SensorSamples } from "./gatherCells.ts";

/** What the light-shielded border of a sensor shows, site by site of a pattern that starts at the active area's corner. */
export interface BorderBlack {
  readonly rows: number;
  readonly columns: number;
  /** Mean code of each site. */
  readonly levels: readonly number[];
  /** Standard deviation of each site, in codes: the read noise. */
  readonly noise: readonly number[];
}

/** The shield's own edge leaks and the outermost samples are odd: columns and rows left out at either side. */
const EDGE = 4;

/** Fewer samples of a site than this are too few to measure. */
const LEAST_SAMPLES = 256;

/** A border counts as shielded when it is even: a standard deviation below this share of white. Light leaves a picture. */
const MOST_NOISE_OF_WHITE = 0.01;

/**
 * Black measured on the shielded border: the rectangles that the file names, or what lies left of or above the active
 * area.
 *
 * @param sensor - the whole mosaic
 * @param repeat - rows and columns of its filter pattern
 * @param area - the active area
 * @param named - shielded rectangles that the file names
 * @param white - the sensor's largest code
 * @returns null when there is no border, or it shows light
 */
export function maskedBorder(
  sensor: SensorSamples,
  repeat: { readonly rows: number; readonly columns: number },
  area: SensorRectangle,
  named: readonly SensorRectangle[],
  white: number,
): BorderBlack | null {
  if (sensor.planes !== 1) return null;
  const left = { left: 0, top: area.top, width: area.left, height: area.height };
  const above = { left: area.left, top: 0, width: area.width, height: area.top };
  for (const border of [...named, left, above]) {
    const sites = measure(sensor, repeat, area, border);
    if (sites?.every(({ noise }) => noise < MOST_NOISE_OF_WHITE * white)) {
      return {
        rows: repeat.rows,
        columns: repeat.columns,
        levels: sites.map(({ mean }) => mean),
        noise: sites.map(({ noise }) => noise),
      };
    }
  }
  return null;
}

function measure(
  { samples, width, height }: SensorSamples,
  { rows, columns }: { readonly rows: number; readonly columns: number },
  area: SensorRectangle,
  border: SensorRectangle,
): { mean: number; noise: number }[] | null {
  const top = Math.max(0, border.top) + EDGE;
  const left = Math.max(0, border.left) + EDGE;
  const bottom = Math.min(height, border.top + border.height) - EDGE;
  const right = Math.min(width, border.left + border.width) - EDGE;
  const sites = Array.from({ length: rows * columns }, (_, site) => {
    const down = Math.floor(site / columns);
    const firstRow = top + modulo(area.top + down - top, rows);
    const firstColumn = left + modulo(area.left + (site % columns) - left, columns);
    let count = 0;
    let sum = 0;
    let squares = 0;
    for (let row = firstRow; row < bottom; row += rows) {
      for (let column = firstColumn; column < right; column += columns) {
        const sample = samples[row * width + column] as number;
        count++;
        sum += sample;
        squares += sample * sample;
      }
    }
    return { count, sum, squares };
  });
  if (sites.some(({ count }) => count < LEAST_SAMPLES)) return null;
  return sites.map(({ count, sum, squares }) => {
    const mean = sum / count;
    return { mean, noise: Math.sqrt(Math.max(0, squares / count - mean * mean)) };
  });
}

function modulo(value: number, period: number): number {
  return ((value % period) + period) % period;
}
