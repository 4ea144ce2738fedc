import { log2, uprightFromStored } from "@tonefall/tone-core";
import type { Frame } from "../../picture/frame.ts";

/** Parts of a picture across and down. */
export const LIKENESS_SIDE = 16;

/** Samples across and down a part, at most: enough that fine texture falls out of its mean, as docs/class.md measures. */
const SAMPLES_ACROSS = 16;

/** Darker parts, stops from full scale, count as this dark: below, codes are mostly noise. */
const DARKEST_STOPS = -12;

/** Steps to a stop in which a part's tone is kept. */
export const LIKENESS_STEPS_PER_STOP = 16;

/**
 * What a picture looks like from far away: the mean linear luminance of 16 by 16 parts of the upright picture, in sixteenths of a
 * stop. A copy that was encoded again or scaled has nearly the same; a picture of something else has not.
 *
 * @returns hexadecimal, one byte a part in reading order: 0 is 12 stops below full scale or darker
 */
export function likenessOf(frame: Frame): string {
  const stored = partsOf(frame);
  const side = LIKENESS_SIDE;
  const upright = new Uint8Array(stored.length);
  for (let row = 0; row < side; row++) {
    for (let column = 0; column < side; column++) {
      const centre = { x: (column + 0.5) / side, y: (row + 0.5) / side };
      const to = uprightFromStored(centre, frame.orientation);
      const at = Math.floor(to.y * side) * side + Math.floor(to.x * side);
      upright[at] = stored[row * side + column] as number;
    }
  }
  return Array.from(upright, (part) => part.toString(16).padStart(2, "0")).join("");
}

function partsOf({ samples, stride, channels, width, height }: Frame): Uint8Array {
  const parts = new Uint8Array(LIKENESS_SIDE * LIKENESS_SIDE);
  const columns = placesAlong(width);
  const rows = placesAlong(height);
  const tables = channels.map(({ luminance }) => luminance);
  for (const [row, down] of rows.entries()) {
    for (const [column, across] of columns.entries()) {
      let light = 0;
      for (const y of down) {
        for (const x of across) {
          const at = (y * width + x) * stride;
          for (let channel = 0; channel < tables.length; channel++) {
            light += (tables[channel] as Float64Array)[samples[at + channel] as number] as number;
          }
        }
      }
      const mean = light / (down.length * across.length);
      const stops = mean > 0 ? Math.max(DARKEST_STOPS, log2(mean)) : DARKEST_STOPS;
      const steps = Math.round((stops - DARKEST_STOPS) * LIKENESS_STEPS_PER_STOP);
      parts[row * LIKENESS_SIDE + column] = Math.min(255, steps);
    }
  }
  return parts;
}

/** For each part along a side, the places of its samples, evenly apart. */
function placesAlong(length: number): readonly Uint32Array[] {
  return Array.from({ length: LIKENESS_SIDE }, (_, part) => {
    const from = (part * length) / LIKENESS_SIDE;
    const width = length / LIKENESS_SIDE;
    const count = Math.max(1, Math.min(SAMPLES_ACROSS, Math.floor(width)));
    return Uint32Array.from({ length: count }, (_, i) =>
      Math.floor(from + ((i + 0.5) * width) / count),
    );
  });
}
