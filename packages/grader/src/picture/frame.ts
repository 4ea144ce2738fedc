import type { ToneRaster, ToSrgb, TransferFunction } from "@tonefall/tone-core";
import type { Note } from "../model/note.ts";
import type { RawSensor } from "./rawSensor.ts";

/** The kind of stops that a decoded frame gives: what the picture shows, or light on the sensor. */
export type FrameBasis = "rendered" | "scene";

/** Where a picture's scale ends below full scale. */
export interface ScaleEnd {
  /** The code at which each channel ends, in channel order. */
  readonly codes: readonly number[];
  /** Share of the picture's pixels at that code, in [0, 1]: the least of the channels. */
  readonly share: number;
}

/**
 * A decoded picture, whatever it came from. Everything after the decoders works on this shape alone.
 *
 * The raster is as stored: orientation is data, applied to regions, never to pixels.
 */
export interface Frame extends ToneRaster {
  /** Which kind of stops it gives. */
  readonly basis: FrameBasis;
  /** Exif orientation, 1 to 8, of the stored raster. */
  readonly orientation: number;
  /** Bits of a stored sample that carry tone: 8 for most JPEGs, 16 for TIFF and PNG, 10 to 16 for sensors. */
  readonly bits: number;
  /** Relative luminance of middle grey: 0.18 of display white, or its share of sensor saturation. */
  readonly middleGrey: number;
  /** The curve that this frame's greys are encoded with; null on a sensor, whose codes are linear. */
  readonly transfer: TransferFunction | null;
  /** What linear red, green and blue become in linear sRGB, to draw by; left out for sRGB, grey and sensors. */
  readonly toSrgb?: ToSrgb;
  /** Index of the alpha sample within a pixel; null where there is none. */
  readonly alphaIndex: number | null;
  /** Where the meaning of the codes came from, in words: the profile's own name, or the assumption made. */
  readonly colour: {
    /** Such as a profile's own name. */
    readonly description: string;
    /** What said so; `brief` where the file says nothing, `converted` by the decoder's colour engine, `assumed` where nothing did. */
    readonly from: "icc" | "cicp" | "png" | "exif" | "brief" | "assumed" | "converted" | "sensor";
  };
  /**
   * What is known of the sensor; null for a rendered picture. Rows hold the part that readers need.
   *
   * @internal
   */
  readonly sensor: RawSensor | null;
  /**
   * The picture, as stored, of which this raster holds every third pixel across and down; left out where it holds them
   * all. Regions are fractions, so they lie over both alike.
   */
  readonly sampledFrom?: {
    /** Pixels across, as stored. */
    readonly width: number;
    /** Pixels down, as stored. */
    readonly height: number;
  };
  /** Where the file's own scale was found to end below full scale: `clipCode` says so too. Left out where it does not. */
  readonly scaleEnd?: ScaleEnd & {
    /** The code of full scale, which the channels' tables reach. */
    readonly fullScale: number;
  };
  /** What readers of the row should know about the decoding. */
  readonly notes: readonly Note[];
}

/** The code of a channel's full scale, which is where it clips unless the file's own scale ends below. */
export function fullScaleOf(
  { scaleEnd }: Pick<Frame, "scaleEnd">,
  { clipCode }: { readonly clipCode: number },
): number {
  return scaleEnd?.fullScale ?? clipCode;
}
