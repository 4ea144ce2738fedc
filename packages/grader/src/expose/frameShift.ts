import { log2 } from "@tonefall/tone-core";
import { Matrix, solve } from "ml-matrix";
import type { LinearPicture } from "../picture/linearPicture.ts";
import { isRendered, isTelling } from "./tellingCodes.ts";

/** How far a picture's content lies from another's, pixels. */
export interface Shift {
  readonly right: number;
  readonly down: number;
}

export const NO_SHIFT: Shift = { right: 0, down: 0 };

/** A picture's tones, small enough to be laid over another's: stops, row by row; NaN where a tone is not known. */
export interface TonePlane {
  readonly width: number;
  readonly height: number;
  /** Pixels of the picture along a cell's side. */
  readonly side: number;
  readonly stops: Float32Array;
}

/** Cells that a plane has at most, some 1,600 by 1,200: finer detail adds nothing to a shift. */
const MOST_CELLS = 2_000_000;

/** Levels of halves that a shift is sought on, the coarsest first: it is found from some 10 cells of the finest on. */
const LEVELS = 4;

/** Steps towards a shift on each level. */
const STEPS = 5;

/** Cells below which a level says nothing of a shift. */
const LEAST_CELLS = 500;

/** Edges steeper than this, stops a cell, are left out: a cell of them is not nearly a straight line. */
const MOST_STEEP = 0.5;

/** Cells that differ by more than this besides the exposure show something that moved, stops. */
const MOST_OFF = 0.5;

/** A shift below this is left alone, since moving a picture by parts of a pixel softens it. */
const LEAST_SHIFT = 0.1;

/** A shift beyond this share of the picture's longer side is more than a touched tripod. Our judgement. */
const MOST_SHIFT = 0.01;

/** The tones of a picture, from means of light over its cells. */
export function tonePlane(picture: LinearPicture): TonePlane {
  const { width: across, height: down, samples, stride, channels, luminanceRow } = picture;
  const side = Math.max(1, Math.ceil(Math.sqrt((across * down) / MOST_CELLS)));
  const [width, height] = [Math.floor(across / side), Math.floor(down / side)];
  const rendered = isRendered(picture);
  const colours = stride === 3 ? [0, 1, 2] : [0];
  const of = colours.map((c) => channels[c] as LinearPicture["channels"][number]);
  const lights = of.map(({ light, clipCode }, c) => {
    const share = stride === 3 ? (luminanceRow[c] as number) : 1;
    return light.map((value, code) =>
      code >= clipCode || (rendered && !isTelling(code)) ? Number.NaN : share * value,
    );
  });
  const stops = new Float32Array(width * height);
  for (let cell = 0; cell < stops.length; cell++) {
    const left = (cell % width) * side;
    const top = Math.floor(cell / width) * side;
    let sum = 0;
    for (let y = top; y < top + side; y++) {
      let at = stride * (y * across + left);
      for (let x = 0; x < side; x++) {
        for (const light of lights) sum += light[samples[at++] as number] as number;
      }
    }
    stops[cell] = sum > 0 ? log2(sum) : Number.NaN;
  }
  return { width, height, side, stops };
}

/**
 * How far a frame lies from another of the same scene: the shift that lays their tones upon each other, found from their
 * gradients, on coarse planes first.
 *
 * @param step - how much lighter the second is by its settings, stops
 * @returns no shift where none is found that a touched tripod explains
 */
export function shiftBetween(before: TonePlane, after: TonePlane, step: number): Shift {
  const levels = [{ before, after }];
  for (let level = 1; level < LEVELS; level++) {
    const finer = levels.at(-1) as (typeof levels)[number];
    levels.push({ before: halved(finer.before), after: halved(finer.after) });
  }
  let shift = NO_SHIFT;
  let lighter = step;
  for (const { before: from, after: to } of levels.reverse()) {
    const scale = from.side;
    for (let i = 0; i < STEPS; i++) {
      const found = nearer(
        from,
        to,
        { right: shift.right / scale, down: shift.down / scale },
        lighter,
      );
      if (!found) break;
      shift = { right: scale * found.right, down: scale * found.down };
      lighter = found.lighter;
    }
  }
  const length = Math.max(Math.abs(shift.right), Math.abs(shift.down));
  const most = MOST_SHIFT * before.side * Math.max(before.width, before.height);
  return length >= LEAST_SHIFT && length <= most ? shift : NO_SHIFT;
}

/** A plane of half the cells a side; a cell is known where its four are. */
function halved({ width: across, height: down, side, stops: fine }: TonePlane): TonePlane {
  const [width, height] = [across >> 1, down >> 1];
  const stops = new Float32Array(width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const at = 2 * y * across + 2 * x;
      stops[y * width + x] =
        ((fine[at] as number) +
          (fine[at + 1] as number) +
          (fine[at + across] as number) +
          (fine[at + across + 1] as number)) /
        4;
    }
  }
  return { width, height, side: 2 * side, stops };
}

/**
 * One step of Gauss and Newton's method towards the shift, cells: with slopes g, a shift that is off by d shows as g d.
 *
 * @returns null where too little is shown by both
 */
function nearer(
  { width, height, stops: before }: TonePlane,
  { stops: after }: TonePlane,
  { right, down }: Shift,
  lighter: number,
): (Shift & { readonly lighter: number }) | null {
  const [wholeX, wholeY] = [Math.floor(right), Math.floor(down)];
  const [partX, partY] = [right - wholeX, down - wholeY];
  let cells = 0;
  let [xx, xy, yy, sx, sy, xd, yd, sd] = [0, 0, 0, 0, 0, 0, 0, 0];
  const firstY = Math.max(1, -wholeY);
  const lastY = Math.min(height - 2, height - 2 - wholeY);
  const firstX = Math.max(1, -wholeX);
  const lastX = Math.min(width - 2, width - 2 - wholeX);
  for (let y = firstY; y <= lastY; y++) {
    for (let x = firstX; x <= lastX; x++) {
      const at = y * width + x;
      const gx = ((before[at + 1] as number) - (before[at - 1] as number)) / 2;
      const gy = ((before[at + width] as number) - (before[at - width] as number)) / 2;
      // NaN, which is an unknown tone, is never below.
      if (!(Math.abs(gx) + Math.abs(gy) < MOST_STEEP)) continue;
      const to = (y + wholeY) * width + x + wholeX;
      const shown =
        (1 - partY) * ((1 - partX) * (after[to] as number) + partX * (after[to + 1] as number)) +
        partY *
          ((1 - partX) * (after[to + width] as number) + partX * (after[to + width + 1] as number));
      const off = shown - (before[at] as number) - lighter;
      if (!(Math.abs(off) < MOST_OFF)) continue;
      cells++;
      xx += gx * gx;
      xy += gx * gy;
      yy += gy * gy;
      sx += gx;
      sy += gy;
      xd += gx * off;
      yd += gy * off;
      sd += off;
    }
  }
  if (cells < LEAST_CELLS) return null;
  const normal = new Matrix([
    [xx, xy, sx],
    [xy, yy, sy],
    [sx, sy, cells],
  ]);
  const [dx, dy, more] = solve(normal, Matrix.columnVector([xd, yd, sd]), true).to1DArray() as [
    number,
    number,
    number,
  ];
  return { right: right - dx, down: down - dy, lighter: lighter + more };
}
