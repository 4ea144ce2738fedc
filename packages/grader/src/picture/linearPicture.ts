import type { ToneChannel } from "@tonefall/tone-core";
import type { Frame } from "./frame.ts";

/** One colour of a {@link LinearPicture}. */
export interface LinearChannel {
  /** Light of every code, balanced so that a neutral has one value in all three; codes below black are below 0. */
  readonly light: Float64Array;
  /** Codes from this one on are clipped: their light is at least that of their code. */
  readonly clipCode: number;
  /** Codes up to this one hold no tone. */
  readonly crushCode: number;
}

/**
 * A picture of light: three colours at every pixel, as codes, and the light that each code stands for.
 *
 * Pixels are stored as in the file; orientation is data.
 */
export interface LinearPicture {
  /** Pixels across, as stored. */
  readonly width: number;
  /** Pixels down, as stored. */
  readonly height: number;
  /** Exif orientation, 1 to 8. */
  readonly orientation: number;
  /** Codes, `stride` to a pixel: red, green and blue, or one that stands for all three. */
  readonly samples: Uint8Array | Uint16Array;
  /** Codes to a pixel. */
  readonly stride: 1 | 3;
  /** Red, green and blue; of a picture without colours the same one three times. */
  readonly channels: readonly [LinearChannel, LinearChannel, LinearChannel];
  /** Linear sRGB from balanced red, green and blue, row by row; each row sums to 1, so a neutral keeps its value. */
  readonly toSrgb: readonly number[];
  /** Share of each balanced colour in luminance; sums to 1. */
  readonly luminanceRow: readonly number[];
  /** Light of middle grey. */
  readonly middleGrey: number;
  /** Bits of a stored sample that carry tone. */
  readonly bits: number;
}

/** A picture of light as a frame, so that it is measured and metered like any other. */
export function frameOfLight(picture: LinearPicture): Frame {
  const { width, height, orientation, samples, stride, luminanceRow, middleGrey, bits } = picture;
  const names = stride === 1 ? ["grey"] : ["red", "green", "blue"];
  const channels = names.map((name, c): ToneChannel => {
    const { light, clipCode, crushCode } = picture.channels[c] as LinearChannel;
    const share = stride === 1 ? 1 : (luminanceRow[c] as number);
    return { name, luminance: light.map((value) => share * value), clipCode, crushCode };
  });
  return {
    ...{ basis: "scene", width, height, orientation, samples, stride, channels, bits, middleGrey },
    transfer: null,
    alphaIndex: null,
    colour: { description: "linear light, white balance as shot", from: "sensor" },
    sensor: null,
    notes: [],
  };
}
