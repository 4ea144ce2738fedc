import { power } from "@tonefall/tone-core";
import type { Frame } from "../../../picture/frame.ts";

/** Most pixels of its longer side. */
const LONG_SIDE = 1200;

/**
 * A picture to look at, made from a frame that the browser itself cannot show: upright, a rendered picture's own codes, a
 * sensor's tones without colour. Enough to find the subject.
 */
export function previewOf(frame: Frame): Promise<ImageBitmap> {
  const { width, height, stride, orientation } = frame;
  const turned = orientation > 4;
  const [across, down] = turned ? [height, width] : [width, height];
  const scale = Math.min(1, LONG_SIDE / Math.max(across, down));
  const size = {
    width: Math.max(1, Math.round(across * scale)),
    height: Math.max(1, Math.round(down * scale)),
  };
  const data = new Uint8ClampedArray(4 * size.width * size.height);
  for (let y = 0, to = 0; y < size.height; y++) {
    for (let x = 0; x < size.width; x++, to += 4) {
      const [u, v] = storedPlace((x + 0.5) / size.width, (y + 0.5) / size.height, orientation);
      const pixel =
        Math.min(height - 1, Math.floor(v * height)) * width +
        Math.min(width - 1, Math.floor(u * width));
      data.set([...colourOf(frame, pixel * stride), 255], to);
    }
  }
  return createImageBitmap(new ImageData(data, size.width, size.height));
}

/** Red, green and blue of the pixel whose samples begin at a place. */
function colourOf(
  { samples, channels, transfer, middleGrey }: Frame,
  at: number,
): readonly [number, number, number] {
  if (transfer && channels.length === 3) {
    const scale = samples.BYTES_PER_ELEMENT === 1 ? 1 : 1 / 257;
    const code = (i: number): number => (samples[at + i] as number) * scale;
    return [code(0), code(1), code(2)];
  }
  let light = 0;
  for (const [i, { luminance }] of channels.entries()) {
    light += luminance[samples[at + i] as number] as number;
  }
  const code = 255 * encoded((light * 0.18) / middleGrey);
  return [code, code, code];
}

/** Where a place of the upright picture lies in the stored one, both in fractions, by Exif orientation. */
function storedPlace(x: number, y: number, orientation: number): readonly [number, number] {
  switch (orientation) {
    case 2:
      return [1 - x, y];
    case 3:
      return [1 - x, 1 - y];
    case 4:
      return [x, 1 - y];
    case 5:
      return [y, x];
    case 6:
      return [y, 1 - x];
    case 7:
      return [1 - y, 1 - x];
    case 8:
      return [1 - y, x];
    default:
      return [x, y];
  }
}

function encoded(light: number): number {
  if (light <= 0.0031308) return 12.92 * Math.max(0, light);
  return light >= 1 ? 1 : 1.055 * power(light, 1 / 2.4) - 0.055;
}
