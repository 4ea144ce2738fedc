import { z } from "zod";
import type { CameraKit } from "./kit.ts";

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
      .describe("where the kit puts what it meters; null until a card or pairs have measured it"),
    curve: z
      .strictObject({
        luminance: curve,
        red: curve.optional(),
        green: curve.optional(),
        blue: curve.optional(),
      })
      .nullable()
      .describe("which light stands behind a code; null until a bracket or pairs have measured it"),
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
