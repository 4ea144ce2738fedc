import type { ResponsePoint } from "@tonefall/tone-core";
import { z } from "zod";

const stops = z.number().min(-30).max(30);
const uncertainty = z.number().min(0).max(30);
const text = z.string().max(200).nullable();

const point = z.strictObject({
  code: z.number().gt(0).max(255).describe("code on the file's own scale, brought to 8 bits"),
  stops: stops.describe("light in stops from the curve's own middle"),
  uncertainty: uncertainty.optional().describe("one standard deviation, stops"),
});

const curve = z.array(point).min(2).max(256);

/** A kit file, as zod checks it; `schema/kit.schema.json` is made from it. */
export const kitSchema: z.ZodType<CameraKit> = z
  .strictObject({
    schemaVersion: z.literal(1),
    camera: z.strictObject({ make: text, model: text }),
    style: z
      .strictObject({
        contrast: text.optional(),
        saturation: text.optional(),
        sharpness: text.optional(),
        pictureMode: text.optional(),
        processing: text.optional(),
      })
      .describe("a key left out is not compared; null says that the measured frames named none"),
    software: text
      .optional()
      .describe("firmware, or the converter that wrote the frames; compared as the style is"),
    iso: z
      .strictObject({ from: z.number().positive(), to: z.number().positive() })
      .nullable()
      .describe("sensitivities that were measured"),
    middleGrey: z
      .strictObject({
        rendered: z
          .strictObject({
            code: z.number().gt(0).max(255).describe("code of luminance, 8-bit scale"),
            stops: stops.describe("from 18 % of display white"),
            uncertainty,
          })
          .nullable(),
        sensor: z
          .strictObject({ shareOfSaturation: z.number().gt(0).lt(1), uncertainty })
          .nullable(),
      })
      .nullable()
      .describe("where the kit puts what it meters; null until a card or pairs have told"),
    curve: z
      .strictObject({
        luminance: curve,
        red: curve.optional(),
        green: curve.optional(),
        blue: curve.optional(),
      })
      .nullable()
      .describe("which light stands behind a code; null until a bracket or pairs have told"),
    uncertainty: uncertainty
      .nullable()
      .describe("of the curve, one standard deviation over its points, stops"),
    measured: z.strictObject({
      how: z.array(z.enum(["card", "bracket", "pairs"])).min(1),
      frames: z.number().int().positive(),
      on: z
        .string()
        .max(40)
        .nullable()
        .describe("date of the latest frame; null where none has one"),
      residuals: z
        .array(z.strictObject({ exposure: stops, residual: uncertainty }))
        .max(1000)
        .optional()
        .describe("of a bracket's frames from the curve, by given exposure, stops"),
    }),
  })
  .describe("A kit: one camera in one style, and how it renders light.");

/** One point of a kit's curve. */
export interface KitPoint {
  /** On the 8-bit scale, above 0. */
  readonly code: number;
  /** Light from the curve's own middle. */
  readonly stops: number;
  /** One standard deviation, stops. */
  readonly uncertainty?: number | undefined;
}

/** A camera in one style, and how it renders light: what a kit file holds. */
export interface CameraKit {
  readonly schemaVersion: 1;
  readonly camera: { readonly make: string | null; readonly model: string | null };
  /** A key left out is not compared with frames'; null says that the measured frames named none. */
  readonly style: {
    readonly contrast?: string | null | undefined;
    readonly saturation?: string | null | undefined;
    readonly sharpness?: string | null | undefined;
    /** The kind of scene that the camera rendered for. */
    readonly pictureMode?: string | null | undefined;
    readonly processing?: string | null | undefined;
  };
  /** Firmware, or the converter that wrote the frames; compared as the style is. */
  readonly software?: string | null | undefined;
  /** Sensitivities that were measured. */
  readonly iso: { readonly from: number; readonly to: number } | null;
  /** Where the kit puts what it meters; null until a card or pairs have told. */
  readonly middleGrey: {
    readonly rendered: {
      /** Code of luminance, 8-bit scale. */
      readonly code: number;
      /** From 18 % of display white. */
      readonly stops: number;
      readonly uncertainty: number;
    } | null;
    readonly sensor: { readonly shareOfSaturation: number; readonly uncertainty: number } | null;
  } | null;
  /** Which light stands behind a code; null until a bracket or pairs have told. */
  readonly curve: {
    readonly luminance: readonly KitPoint[];
    readonly red?: readonly KitPoint[] | undefined;
    readonly green?: readonly KitPoint[] | undefined;
    readonly blue?: readonly KitPoint[] | undefined;
  } | null;
  /** Of the curve, one standard deviation over its points, stops. */
  readonly uncertainty: number | null;
  readonly measured: {
    readonly how: readonly ("card" | "bracket" | "pairs")[];
    readonly frames: number;
    /** Date of the latest frame; null where none has one. */
    readonly on: string | null;
    /** How far a bracket's frames lie from the curve, by given exposure, stops. */
    readonly residuals?:
      | readonly { readonly exposure: number; readonly residual: number }[]
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
