import { type LightProxy, lightOfCode } from "../lightCode.ts";
import { inflated } from "./inflated.ts";

/** A region's edge is laid to a quarter of a cell: every cell stands for so many pixels each way. */
const FINENESS = 4;

/** A frame's light, unpacked. */
export interface FrameLight {
  readonly proxy: LightProxy;
  /** Codes of light of every cell, a plane a colour; see `lightOfCode`. */
  readonly planes: readonly Uint16Array[];
  /** Pixels that the sums are over, every cell 4 x 4 of them. */
  readonly width: number;
  readonly height: number;
  readonly luminance: RowSums;
  /** Clipped and black shares. */
  readonly clipped: RowSums;
  readonly crushed: RowSums;
}

/**
 * Running sums along each row of pixels, from 0, `width + 1` of them a row: the sum over any run of pixels is the
 * difference of two, so that a large region is read as quickly as a small one.
 */
export type RowSums = Float64Array;

/** Unpacks what `lightProxy` has packed. */
export async function frameLight(proxy: LightProxy): Promise<FrameLight> {
  const bytes = await inflated(proxy.data);
  const { width, height, weights } = proxy;
  const cells = width * height;
  const planes = weights.map((_, i) => codesOf(bytes.subarray(2 * i * cells), width, cells));
  const ends = bytes.subarray(2 * weights.length * cells);
  const luminance = Float64Array.from({ length: cells }, (_, cell) =>
    planes.reduce(
      (sum, plane, i) => sum + (weights[i] as number) * (LIGHTS[plane[cell] as number] as number),
      0,
    ),
  );
  const within = slopes(luminance, width, height);
  const shares = (from: number): RowSums =>
    rowSums(width, height, (cell) => (ends[from + cell] as number) / 255);
  return {
    proxy,
    planes,
    width: width * FINENESS,
    height: height * FINENESS,
    luminance: rowSums(
      width,
      height,
      (cell, right, down) =>
        (luminance[cell] as number) +
        right * (within.right[cell] as number) +
        down * (within.down[cell] as number),
    ),
    clipped: shares(0),
    crushed: shares(cells),
  };
}

/** Light of every code. */
export const LIGHTS: Float64Array = Float64Array.from({ length: 65536 }, (_, code) =>
  lightOfCode(code),
);

function codesOf(bytes: Uint8Array, width: number, cells: number): Uint16Array {
  const codes = new Uint16Array(cells);
  for (let i = 0; i < cells; i++) {
    const folded = (bytes[i] as number) + 256 * (bytes[cells + i] as number);
    const step = folded & 1 ? -(folded + 1) / 2 : folded / 2;
    const before = i % width === 0 ? (i === 0 ? 0 : codes[i - width]) : codes[i - 1];
    codes[i] = (before as number) + step;
  }
  return codes;
}

/**
 * How light rises from side to side of every cell, told by its neighbours: an edge that runs through a cell then lies
 * about where it did. The lesser of both sides' rises is taken, none at a peak, so that light is neither lost nor made.
 */
function slopes(
  light: Float64Array,
  width: number,
  height: number,
): { readonly right: Float64Array; readonly down: Float64Array } {
  const rise = (cell: number, before: boolean, after: boolean, step: number): number => {
    if (!before || !after) return 0;
    const here = light[cell] as number;
    const back = here - (light[cell - step] as number);
    const on = (light[cell + step] as number) - here;
    if (back * on <= 0) return 0;
    const least = 2 * Math.min(Math.abs(back), Math.abs(on), Math.abs(back + on) / 4);
    return Math.sign(on) * least;
  };
  const right = new Float64Array(light.length);
  const down = new Float64Array(light.length);
  for (let cell = 0; cell < light.length; cell++) {
    const [x, y] = [cell % width, Math.floor(cell / width)];
    right[cell] = rise(cell, x > 0, x < width - 1, 1);
    down[cell] = rise(cell, y > 0, y < height - 1, width);
    // Both together must not reach below black.
    const most = light[cell] as number;
    const reach = (Math.abs(right[cell] as number) + Math.abs(down[cell] as number)) / 2;
    if (reach > most && reach > 0) {
      right[cell] = ((right[cell] as number) * most) / reach;
      down[cell] = ((down[cell] as number) * most) / reach;
    }
  }
  return { right, down };
}

/** Sums over cells as 4 x 4 pixels each; `at` gives a pixel by its cell and its place from the cell's middle, -0.5 to 0.5. */
function rowSums(
  width: number,
  height: number,
  at: (cell: number, right: number, down: number) => number,
): RowSums {
  const across = width * FINENESS;
  const sums = new Float64Array((across + 1) * height * FINENESS);
  const place = (pixel: number): number => ((pixel % FINENESS) + 0.5) / FINENESS - 0.5;
  for (let y = 0; y < height * FINENESS; y++) {
    const row = Math.floor(y / FINENESS) * width;
    const down = place(y);
    let i = y * (across + 1);
    let sum = 0;
    for (let x = 0; x < across; x++) {
      sum += at(row + Math.floor(x / FINENESS), place(x), down);
      sums[++i] = sum;
    }
  }
  return sums;
}
