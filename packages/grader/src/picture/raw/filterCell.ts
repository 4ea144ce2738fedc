import type { SensorRectangle } from "../rawSensor.ts";
import type { RepeatPattern } from "./dngTags.ts";

/** One site of the repeat pattern: a channel of the raster. */
interface FilterSite {
  /** `red`, `green 1`, `green 2`, `blue`; numbered in reading order where a colour repeats; `grey` without filters. */
  readonly name: string;
  /** 0 red, 1 green, 2 blue; 0 on a monochrome sensor. */
  readonly colour: number;
  /** Row and column within the cell. */
  readonly row: number;
  readonly column: number;
  /** Which of the interleaved samples of a sensor position, 0 on a mosaic. */
  readonly plane: number;
}

/** One repeat of the colour filter pattern: 2 x 2 for Bayer, 6 x 6 for X-Trans, 1 x 1 without a mosaic. */
export interface FilterCell {
  readonly rows: number;
  readonly columns: number;
  /** In reading order. */
  readonly sites: readonly FilterSite[];
}

const COLOUR_NAMES = ["red", "green", "blue"] as const;

/**
 * The repeat cell of a mosaic as it lies at the corner of the picture.
 *
 * A mosaic starts at the active area; a picture whose corner lies an odd number of samples further in starts with
 * another colour. Confusing the two swaps red and blue.
 *
 * @param mosaic - colours from the active area's corner
 * @param area - where the mosaic starts
 * @param picture - where the cell is to start
 */
export function mosaicCell(
  mosaic: RepeatPattern,
  area: SensorRectangle,
  picture: SensorRectangle,
): FilterCell {
  const { rows, columns, values } = mosaic;
  const down = picture.top - area.top;
  const across = picture.left - area.left;
  const colours = Array.from({ length: rows * columns }, (_, i) => {
    const row = (Math.floor(i / columns) + down) % rows;
    return values[row * columns + ((i + across) % columns)] as number;
  });
  const seen = [0, 0, 0];
  const sites = colours.map((colour, i): FilterSite => {
    const repeats = colours.filter((other) => other === colour).length > 1;
    seen[colour] = (seen[colour] as number) + 1;
    const name = COLOUR_NAMES[colour] as string;
    return {
      name: repeats ? `${name} ${seen[colour]}` : name,
      colour,
      row: Math.floor(i / columns),
      column: i % columns,
      plane: 0,
    };
  });
  return { rows, columns, sites };
}

/** The cell of a sensor without filters (one plane), or of a picture that has three values at every position. */
export function plainCell(planes: 1 | 3): FilterCell {
  const names = planes === 1 ? ["grey"] : COLOUR_NAMES;
  return {
    rows: 1,
    columns: 1,
    sites: names.map((name, plane) => ({ name, colour: plane, row: 0, column: 0, plane })),
  };
}

/**
 * A Bayer pattern from LibRaw's filter word: two bits a site, eight rows by two columns, of which a Bayer mosaic
 * repeats every two rows. Colour 3 is the second green.
 *
 * @returns null when the word is no two-row pattern of red, green and blue
 */
export function bayerPattern(filters: number): RepeatPattern | null {
  const colourAt = (row: number, column: number): number => {
    const colour = (filters >>> ((((row << 1) & 14) + column) * 2)) & 3;
    return colour === 3 ? 1 : colour;
  };
  for (let row = 2; row < 8; row++) {
    for (const column of [0, 1]) {
      if (colourAt(row, column) !== colourAt(row % 2, column)) return null;
    }
  }
  const values = [colourAt(0, 0), colourAt(0, 1), colourAt(1, 0), colourAt(1, 1)];
  return [...values].sort().join() === "0,1,1,2" ? { rows: 2, columns: 2, values } : null;
}
