import { z } from "zod";
import type { Typed } from "./setValues.ts";

/*
 * The values that claims and relations share in a set file. Texts are only recognised here; setValues reads them.
 */

const NUMBER_OR_TEXT = z.union([z.number(), z.string()]);

export const stops: z.ZodType<Typed> = NUMBER_OR_TEXT.describe(
  'Stops, such as -2, "+1 2/3", or a range 1.5..2.3',
);

export const place: z.ZodType<Typed> = NUMBER_OR_TEXT.describe(
  'A placement as in a brief: snow, -2, "1.5..2.3", "36%", "zone VI"',
);

export const tolerance: z.ZodType<Typed> = NUMBER_OR_TEXT.describe(
  "How far a tone may miss, stops; where none is given, the basis decides",
);

export const pixelBasis: z.ZodType<"rendered" | "scene"> = z.enum(["rendered", "scene"]);

export const region: z.ZodType<string> = z
  .string()
  .describe(
    "A region that the frame names, or one written as in a brief; left out, it is the frame's only region",
  );

export const frame: z.ZodType<string> = z.string().describe("The name of a frame of this set");
