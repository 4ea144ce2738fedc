import type { LinearRgb, ToSrgb } from "@tonefall/tone-core";

/** A linear colour of a frame in linear sRGB; as it is where its space is not told, or is sRGB. */
export function inSrgb(rgb: LinearRgb, toSrgb: ToSrgb | null | undefined): LinearRgb {
  if (!toSrgb) return rgb;
  const part = (i: 0 | 1 | 2): number =>
    rgb[0] * toSrgb[0][i] + rgb[1] * toSrgb[1][i] + rgb[2] * toSrgb[2][i];
  return [part(0), part(1), part(2)];
}
