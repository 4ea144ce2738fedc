import {
  codeCounts,
  exp2,
  rasteriseRegion,
  renderedOfLight,
  SRGB,
  type TransferFunction,
} from "@tonefall/tone-core";
import { showsLight } from "../../judge/grade/showsLight.ts";
import { measureFrame } from "../../judge/measure/measureFrame.ts";
import type { FrameHistograms, FrameResult } from "../../model/result.ts";
import type { Frame } from "../../picture/frame.ts";
import { type SmallPixels, smallJpeg, smallPicture } from "../../picture/rendered/smallPicture.ts";
import type { SeenFrame } from "../../run/seenFrame.ts";
import { inSrgb } from "./inSrgb.ts";
import type { LightProxy } from "./lightCode.ts";
import { type LightGrid, lightGrid } from "./lightGrid.ts";
import { lightProxy } from "./lightProxy.ts";
import { type SensorTones, sensorTones } from "./sensorTones.ts";

/** How much of a picture a page shows. */
export interface ViewSize {
  /** Longer side of the picture, pixels. */
  readonly picture: number;
  /** Longer side of the light behind the movable spot, cells; 0 for no spot. */
  readonly proxy: number;
}

/** A picture within a page. */
export interface SmallPicture {
  readonly width: number;
  readonly height: number;
  /** JPEG as a data address. */
  readonly source: string;
}

/** Longer side of a thumbnail, pixels. */
const THUMBNAIL = 168;

/** What a page shows of a frame's pixels. */
export interface FrameView {
  /** Upright, small, sRGB, without metadata; null where no picture is to be shown. */
  readonly picture:
    | (SmallPicture & {
        /** Whether it was drawn from the light itself, without the tone curve of a rendering. */
        readonly drawnFromLight: boolean;
      })
    | null;
  /** The same, smaller, for where several stand side by side. */
  readonly thumbnail: SmallPicture | null;
  readonly proxy: LightProxy | null;
  /** Of the whole frame. */
  readonly whole: {
    readonly pixels: number;
    readonly clippedShare: number;
    readonly crushedShare: number;
    readonly histograms: FrameHistograms;
  };
  /** Stops of the row's basis as stops of the frame: another number where a scene claim rests on a rendering. */
  readonly shownStops: (stops: number) => number;
  /** Codes, 0 to 255, that stops from middle grey are encoded as; null on a sensor. */
  readonly codeOfStops: ((stops: number) => number) | null;
  /** The region on the sensor's own scale; null for a rendered picture. */
  readonly sensor: SensorTones | null;
}

/**
 * Takes from a decoded frame what a page shows of it.
 *
 * @param seen - the frame while its pixels are at hand
 * @param size - null for a page without pictures
 */
export async function frameView(seen: SeenFrame, size: ViewSize | null): Promise<FrameView> {
  const { frame, row, region, input } = seen;
  const { statistics, histograms } = measureFrame(frame, { shape: "whole" }, { histograms: true });
  const guessed = guessesLight(row);
  const shownStops = shownStopsOf(row);
  const light = size && size.proxy > 0 && statistics.transparentShare === 0;
  const shown = size && (await pictureOf(frame, input, size.picture));
  return {
    ...(shown ?? { picture: null, thumbnail: null }),
    proxy: light ? lightProxy(lightGrid(frame, size.proxy), seen, guessed) : null,
    whole: {
      pixels: statistics.pixels,
      clippedShare: statistics.clipped.share,
      crushedShare: statistics.crushed.share,
      histograms: histograms as FrameHistograms,
    },
    shownStops,
    codeOfStops: frame.transfer && codeOfStops(frame.transfer, frame.middleGrey, shownStops),
    sensor: sensorTones(frame, codeCounts(frame, rasteriseRegion(region, frame))),
  };
}

/** Whether a row's stops are of light, guessed from a rendering. */
function guessesLight(row: FrameResult): boolean {
  return row.basis === "scene" && !showsLight(row);
}

/** Turns stops of a row's basis into stops of its frame. */
export function shownStopsOf(row: FrameResult): FrameView["shownStops"] {
  return guessesLight(row) ? renderedOfLight : (stops) => stops;
}

/** Apart from the frame, so that what is kept of it does not keep its pixels. */
function codeOfStops(
  { encode }: TransferFunction,
  middleGrey: number,
  shownStops: FrameView["shownStops"],
): (stops: number) => number {
  return (stops) => 255 * encode(Math.min(1, middleGrey * exp2(shownStops(stops))));
}

async function pictureOf(
  frame: Frame,
  input: string | Uint8Array,
  longSide: number,
): Promise<Pick<FrameView, "picture" | "thumbnail">> {
  const decoded = frame.basis === "rendered" ? await smallPicture(input, longSide) : null;
  const pixels = decoded ?? drawnLight(lightGrid(frame, longSide), frame);
  return {
    picture: { ...(await inPage(pixels, longSide)), drawnFromLight: frame.basis === "scene" },
    thumbnail: await inPage(pixels, THUMBNAIL),
  };
}

/** Pixels as a JPEG within a page, at most so many pixels on its longer side. */
export async function inPage(pixels: SmallPixels, longSide: number): Promise<SmallPicture> {
  const { width, height, bytes } = await smallJpeg(pixels, longSide);
  const source = `data:image/jpeg;base64,${Buffer.from(bytes).toString("base64")}`;
  return { width, height, source };
}

/** Light as a screen shows it, middle grey as middle grey and no curve: what is beyond white is white. */
function drawnLight(
  { planes, width, height }: LightGrid,
  { middleGrey, toSrgb }: Frame,
): SmallPixels {
  const [red, green, blue] = planes.length === 3 ? planes : [planes[0], planes[0], planes[0]];
  const scale = 0.18 / middleGrey;
  const data = new Uint8Array(3 * width * height);
  for (let cell = 0; cell < width * height; cell++) {
    const rgb = [red, green, blue].map((plane) => scale * (plane?.[cell] as number));
    for (const [i, light] of inSrgb(rgb as [number, number, number], toSrgb).entries()) {
      data[3 * cell + i] = Math.round(255 * SRGB.encode(Math.min(1, Math.max(0, light))));
    }
  }
  return { width, height, channels: 3, data };
}
