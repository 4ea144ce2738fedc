import type { ResponsePoint } from "@tonefall/tone-core";

/** One point of a kit's curve. */
export interface KitPoint {
  /** On the 8-bit scale, above 0. */
  readonly code: number;
  /** Light in stops from the curve's own middle; + is brighter. */
  readonly stops: number;
  /** One standard deviation, stops. */
  readonly uncertainty?: number | undefined;
}

/** A camera in one style, and how it renders light: what a kit file holds. */
export interface CameraKit {
  /** Version of the shape of kit files. */
  readonly schemaVersion: 1;
  /** As its frames name it. */
  readonly camera: {
    /** Maker; null where the frames named none. */
    readonly make: string | null;
    /** Model; null where the frames named none. */
    readonly model: string | null;
  };
  /** A key left out is not compared with frames'; null says that the measured frames named none. */
  readonly style: {
    /** As Exif has it: `normal`, `soft` or `hard`. */
    readonly contrast?: string | null | undefined;
    /** As Exif has it: `normal`, `low` or `high`. */
    readonly saturation?: string | null | undefined;
    /** As Exif has it: `normal`, `soft` or `hard`. */
    readonly sharpness?: string | null | undefined;
    /** The kind of scene that the camera rendered for. */
    readonly pictureMode?: string | null | undefined;
    /** Special processing, `custom` or `other`; null where the camera used none. */
    readonly processing?: string | null | undefined;
  };
  /** Firmware, or the converter that wrote the frames; compared as the style is. */
  readonly software?: string | null | undefined;
  /** Sensitivities that were measured; null where no frame recorded one. */
  readonly iso: {
    /** The lowest, ISO. */
    readonly from: number;
    /** The highest, ISO. */
    readonly to: number;
  } | null;
  /** Where the kit puts what it meters; null until a card or pairs have shown it. */
  readonly middleGrey: {
    /** Of renderings; null where none was measured. */
    readonly rendered: {
      /** Code of luminance, 8-bit scale. */
      readonly code: number;
      /** Stops from 18 % of display white; + is lighter. */
      readonly stops: number;
      /** One standard deviation, stops. */
      readonly uncertainty: number;
    } | null;
    /** Of the sensor's own values; null where they were not measured. */
    readonly sensor: {
      /** In (0, 1). */
      readonly shareOfSaturation: number;
      /** One standard deviation, stops. */
      readonly uncertainty: number;
    } | null;
  } | null;
  /** Which light a code stands for; null until a bracket or pairs have shown it. */
  readonly curve: {
    /** By code of luminance, rising; frames are graded by this one. */
    readonly luminance: readonly KitPoint[];
    /** By code of red; left out where channels were not measured on their own, as with pairs. */
    readonly red?: readonly KitPoint[] | undefined;
    /** By code of green; left out with red. */
    readonly green?: readonly KitPoint[] | undefined;
    /** By code of blue; left out with red. */
    readonly blue?: readonly KitPoint[] | undefined;
  } | null;
  /** Of the curve, one standard deviation over its points, stops. */
  readonly uncertainty: number | null;
  /** What the kit rests on. */
  readonly measured: {
    /** The kinds of measurement that it was made by. */
    readonly how: readonly ("card" | "bracket" | "pairs")[];
    /** Frames that counted, over all measurements. */
    readonly frames: number;
    /** Date of the latest frame; null where none has one. */
    readonly on: string | null;
    /** How far a bracket's frames lie from the curve, by given exposure, stops. */
    readonly residuals?:
      | readonly {
          /** Given exposure of the frame, stops. */
          readonly exposure: number;
          /** Its distance from the curve, stops, 0 or more. */
          readonly residual: number;
        }[]
      | undefined;
  };
}

/** A kit's curve as `responseCurve` takes it. */
export function kitPoints(points: readonly KitPoint[]): readonly ResponsePoint[] {
  return points.map(({ code, stops, uncertainty: deviation }) => ({
    code,
    stops,
    ...(deviation === undefined ? {} : { uncertainty: deviation }),
  }));
}

/** A kit and the file it was read from. */
export interface NamedKit {
  /** What the file holds. */
  readonly kit: CameraKit;
  /** The path as given, with forward slashes. */
  readonly file: string;
}
