import { LUMINANCE_ROWS } from "@tonefall/tone-core";
import { givenLimits } from "../decodeLimits.ts";
import { letGo } from "../letGo.ts";
import type { LinearChannel, LinearPicture } from "../linearPicture.ts";
import type { SensorRectangle } from "../rawSensor.ts";
import { type DecodeRawOptions, decodeRaw, type RawFrame } from "./decodeRaw.ts";
import { developSensor } from "./libRaw.ts";

/** A developed raw file, and the frame of the sensor's own values from which its levels come. */
export interface DevelopedRaw {
  readonly picture: LinearPicture;
  /** Without its samples, whose memory is freed. */
  readonly frame: Omit<RawFrame, "samples">;
}

/**
 * Develops a raw file to linear light: black, white, clipping and white balance as `decodeRaw` finds them, colours
 * interpolated by LibRaw on the sensor's own codes, and nothing else.
 *
 * Black stays in the codes, and the tables subtract it, so that noise below it keeps its sign and the mean of a dark
 * tone stays where it is.
 *
 * @param source - a path, a file URL, or bytes
 * @throws as {@link decodeRaw}
 */
export async function developRaw(
  source: string | URL | Uint8Array,
  options: DecodeRawOptions = {},
): Promise<DevelopedRaw> {
  const frame = await decodeRaw(source, options);
  const { filters, crop } = frame.sensor;
  if (filters.pattern === "") return { picture: pictureOf(frame, frame), frame };
  // Only the mosaic's levels are needed from here; a picture of three colours takes three times its memory.
  letGo(frame.samples);
  const { sensor, left, top } = await developSensor(source, givenLimits(options));
  const part = within({ ...crop, left: crop.left - left, top: crop.top - top }, sensor);
  return { picture: pictureOf(frame, { ...part, samples: cut(sensor, part) }), frame };
}

function pictureOf(
  frame: RawFrame,
  { width, height, samples }: Pick<LinearPicture, "width" | "height"> & { samples: Uint16Array },
): LinearPicture {
  const { sensor, orientation, middleGrey, bits } = frame;
  const { toSrgb } = sensor;
  const grey = sensor.filters.kind === "monochrome";
  const channels = [0, 1, 2].map((colour) => channelOf(frame, grey ? 0 : colour));
  return {
    ...{ width, height, orientation, samples, stride: grey ? 1 : 3, middleGrey, bits, toSrgb },
    channels: channels as [LinearChannel, LinearChannel, LinearChannel],
    luminanceRow: luminanceRowOf(toSrgb),
  };
}

/** One colour's light, as the mean of the channels that see it: the two greens of a mosaic may differ in black. */
function channelOf({ channels, sensor }: RawFrame, colour: number): LinearChannel {
  const sites = sensor.channelColours.flatMap((own, i) => (own === colour ? [i] : []));
  const multiplier = sensor.asShotMultipliers[colour] ?? 1;
  const codes = (channels[sites[0] as number] as RawFrame["channels"][number]).luminance.length;
  const light = new Float64Array(codes);
  for (const i of sites) {
    const { luminance } = channels[i] as RawFrame["channels"][number];
    // Tables end at saturation, where their light is the channel's multiplier.
    const full = luminance[codes - 1] as number;
    for (let code = 0; code < codes; code++) {
      light[code] =
        (light[code] as number) + (multiplier * (luminance[code] as number)) / full / sites.length;
    }
  }
  const of = sites.map((i) => channels[i] as RawFrame["channels"][number]);
  return {
    light,
    clipCode: Math.min(...of.map(({ clipCode }) => clipCode)),
    crushCode: Math.min(...of.map(({ crushCode }) => crushCode)),
  };
}

/** The part of a rectangle that a picture holds. */
function within(
  { left, top, width, height }: SensorRectangle,
  picture: { readonly width: number; readonly height: number },
): SensorRectangle {
  const [x, y] = [Math.max(0, left), Math.max(0, top)];
  return {
    left: x,
    top: y,
    width: Math.min(left + width, picture.width) - x,
    height: Math.min(top + height, picture.height) - y,
  };
}

/** A part of a picture, moved together in the memory of the whole. */
function cut(
  { samples, width: across }: { readonly samples: Uint16Array; readonly width: number },
  { left, top, width, height }: SensorRectangle,
): Uint16Array {
  const row = 3 * width;
  if (width === across && top === 0) return samples.subarray(0, row * height);
  for (let y = 0; y < height; y++) {
    const from = 3 * ((top + y) * across + left);
    samples.copyWithin(y * row, from, from + row);
  }
  return samples.subarray(0, row * height);
}

/** Luminance of balanced red, green and blue by way of linear sRGB. */
function luminanceRowOf(toSrgb: readonly number[]): number[] {
  return [0, 1, 2].map((colour) =>
    LUMINANCE_ROWS.srgb.reduce(
      (sum, share, row) => sum + share * (toSrgb[3 * row + colour] as number),
      0,
    ),
  );
}
