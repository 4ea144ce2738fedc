import { swapsSides, uprightFromStored } from "@tonefall/tone-core";
import { type Frame, fullScaleOf } from "../../picture/frame.ts";

/** A frame's light in few upright cells, each the average of its pixels in linear light. */
export interface LightGrid {
  readonly width: number;
  readonly height: number;
  /** Linear light of red, green and blue, or of the one channel there is; 1 is full scale before white balance. */
  readonly planes: readonly Float64Array[];
  /** Share of luminance of each plane: their weighted sum is the cell's luminance. */
  readonly weights: readonly number[];
  /** Share of each cell's pixels with a clipped channel. */
  readonly clipped: Float64Array;
  /** Share of each cell's pixels that hold no tone. */
  readonly crushed: Float64Array;
}

/** Channels that are drawn as one: the two greens of a sensor, all sites of one colour. */
interface Plane {
  readonly channels: readonly number[];
  readonly weight: number;
}

/**
 * Averages a frame's light over a grid of cells; transparent pixels count as what their samples say.
 *
 * @param frame - from any decoder
 * @param longSide - cells along the longer side, at most one a pixel
 */
export function lightGrid(frame: Frame, longSide: number): LightGrid {
  // As nearly a whole number of pixels to a cell as can be, so that cells begin where pixels do.
  const pixelsAcross = Math.ceil(Math.max(frame.width, frame.height) / longSide);
  const width = Math.max(1, Math.round(frame.width / pixelsAcross));
  const height = Math.max(1, Math.round(frame.height / pixelsAcross));
  const planes = planesOf(frame);
  const stored = planes.map(() => new Float64Array(width * height));
  const clipped = new Float64Array(width * height);
  const crushed = new Float64Array(width * height);
  const pixels = new Float64Array(width * height);
  const columns = Uint32Array.from({ length: frame.width }, (_, x) =>
    Math.floor((x * width) / frame.width),
  );
  const cells = { columns, rows: (y: number) => Math.floor((y * height) / frame.height) * width };
  for (const [plane, { channels, weight }] of planes.entries()) {
    for (const channel of channels)
      addLight(frame, channel, weight, cells, stored[plane] as Float64Array);
  }
  addEnds(frame, cells, { clipped, crushed, pixels });
  const upright = (sums: Float64Array): Float64Array =>
    turned(
      sums.map((sum, cell) => sum / (pixels[cell] as number)),
      width,
      height,
      frame.orientation,
    );
  const across = swapsSides(frame.orientation);
  return {
    width: across ? height : width,
    height: across ? width : height,
    planes: stored.map(upright),
    weights: planes.map(({ weight }) => weight),
    clipped: upright(clipped),
    crushed: upright(crushed),
  };
}

/** Where a pixel goes: the cell that a row begins with, and the column's place in it. */
interface Cells {
  readonly columns: Uint32Array;
  readonly rows: (y: number) => number;
}

function addLight(
  { samples, stride, channels, width, height }: Frame,
  channel: number,
  weight: number,
  { columns, rows }: Cells,
  sums: Float64Array,
): void {
  const light = channels[channel]?.luminance.map((y) => y / weight) as Float64Array;
  for (let y = 0; y < height; y++) {
    const row = rows(y);
    let at = y * width * stride + channel;
    for (let x = 0; x < width; x++, at += stride) {
      const cell = row + (columns[x] as number);
      sums[cell] = (sums[cell] as number) + (light[samples[at] as number] as number);
    }
  }
}

function addEnds(
  { samples, stride, channels, width, height }: Frame,
  { columns, rows }: Cells,
  counts: Readonly<Record<"clipped" | "crushed" | "pixels", Float64Array>>,
): void {
  const clipCodes = Float64Array.from(channels, ({ clipCode }) => clipCode);
  const crushCodes = Float64Array.from(channels, ({ crushCode }) => crushCode);
  for (let y = 0; y < height; y++) {
    const row = rows(y);
    for (let x = 0; x < width; x++) {
      const at = (y * width + x) * stride;
      const cell = row + (columns[x] as number);
      let clips = false;
      let black = true;
      for (let channel = 0; channel < clipCodes.length; channel++) {
        const code = samples[at + channel] as number;
        if (code >= (clipCodes[channel] as number)) clips = true;
        if (code > (crushCodes[channel] as number)) black = false;
      }
      if (clips) counts.clipped[cell] = (counts.clipped[cell] as number) + 1;
      else if (black) counts.crushed[cell] = (counts.crushed[cell] as number) + 1;
      counts.pixels[cell] = (counts.pixels[cell] as number) + 1;
    }
  }
}

function planesOf(frame: Frame): Plane[] {
  const { channels, sensor } = frame;
  const groups = new Map<string, { channels: number[]; weight: number }>();
  for (const [channel, { name, luminance, clipCode }] of channels.entries()) {
    const white = fullScaleOf(frame, { clipCode });
    const key = name.split(" ")[0] as string;
    const group = groups.get(key) ?? { channels: [], weight: 0 };
    // White balance is in a sensor's tables and must stay in the light; a picture's full scale is its weight.
    group.weight += sensor?.luminanceRow[channel] ?? (luminance[white] as number);
    group.channels.push(channel);
    groups.set(key, group);
  }
  const order = ["red", "green", "blue"];
  const named = [...groups].sort(([a], [b]) => order.indexOf(a) - order.indexOf(b));
  return named.map(([, group]) => group);
}

function turned(
  cells: Float64Array,
  width: number,
  height: number,
  orientation: number,
): Float64Array {
  if (orientation === 1) return cells;
  const out = new Float64Array(cells.length);
  const [outWidth, outHeight] = swapsSides(orientation) ? [height, width] : [width, height];
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const centre = { x: (x + 0.5) / width, y: (y + 0.5) / height };
      const to = uprightFromStored(centre, orientation);
      const at = Math.floor(to.y * outHeight) * outWidth + Math.floor(to.x * outWidth);
      out[at] = cells[y * width + x] as number;
    }
  }
  return out;
}
