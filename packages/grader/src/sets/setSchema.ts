import { z } from "zod";
import { ALLOWANCES } from "../model/checkResult.ts";
import type { RecordClaim, SetFile } from "./setFile.ts";

/*
 * The form of a set file as it is typed. Texts are read and names resolved by readSet; what is checked here is checked
 * by any JSON Schema validator too, since the published schema is made from this.
 */

const stops = z
  .union([z.number(), z.string()])
  .describe('Stops, such as -2, "+1 2/3", or a range 1.5..2.3');
const place = z
  .union([z.number(), z.string()])
  .describe('A placement as in a brief: snow, -2, "1.5..2.3", "36%", "zone VI"');
const openStops = z
  .union([z.number(), z.string()])
  .describe('Stops, a range, or one end of it: "at least 1.5", "at most -2"');
const tolerance = z
  .union([z.number(), z.string()])
  .describe("How far a tone may miss, stops; the basis decides where none is given")
  .optional();
const basis = z.enum(["rendered", "scene", "settings"]);
const pixelBasis = z.enum(["rendered", "scene"]).optional();
const region = z
  .string()
  .describe(
    "A region named by the frame, or one in a brief's text form; the frame's only one where none is given",
  )
  .optional();
const frame = z.string().describe("The name of a frame of this set");
const id = z.string().min(1).max(100).describe("A name of its own, kept over edits").optional();
const why = z.string().max(500).describe("For people: what the claim teaches").optional();
const share = z
  .union([z.number().min(0).max(1), z.string()])
  .describe('A share of the region: 0.001 or "0.1%"');

const falls = z.strictObject({ region, place, tolerance, basis: basis.optional() });
const errorLies = z.strictObject({
  region,
  place,
  lies: openStops,
  tolerance,
  basis: basis.optional(),
});
const record = z.strictObject({
  mode: z
    .enum([
      "auto",
      "manual",
      "auto-bracket",
      "programme",
      "aperture-priority",
      "shutter-priority",
      "creative",
      "action",
      "portrait",
      "landscape",
      "bulb",
    ])
    .optional(),
  pattern: z
    .enum(["average", "centre-weighted", "spot", "multi-spot", "multi-segment", "partial"])
    .optional(),
  aperture: z.number().positive().describe("f-number").optional(),
  shutter: z.union([z.number().positive(), z.string()]).describe('Seconds, or "1/125"').optional(),
  iso: z.number().positive().optional(),
  compensation: stops.optional(),
  flash: z.boolean().describe("Whether the flash fired").optional(),
});

/** The form of a record claim. */
export const recordSchema: z.ZodType<RecordClaim> = record;

/** The settings that a record claim may hold. */
export const RECORD_KEYS: readonly string[] = Object.keys(record.shape);

const reading = z.strictObject({
  pattern: z.enum(["spot", "partial", "centre-weighted", "average", "multi-segment"]),
  reads: openStops,
  tolerance,
  basis: pixelBasis,
});
const unclipped = z.strictObject({ region, most: share.optional() });

const claim = oneOf(
  { falls, error: errorLies, record, reading, unclipped, "as-shot": z.literal(true) },
  "What a frame shows, one kind a claim",
);

const placed = z.strictObject({ frame, region, place, tolerance });
const looks = { region, tolerance, basis: pixelBasis };
const bracket = z.strictObject({
  frames: z.array(frame).min(2),
  steps: z
    .union([stops, z.array(stops).min(2)])
    .describe("Stops from each frame to the next, or of each frame from the first"),
  varies: z.enum(["shutter", "aperture", "iso"]),
  ...looks,
});
const equivalent = z.strictObject({ frames: z.array(frame).min(2), ...looks });
const recompose = z.strictObject({ metered: placed, used: placed, basis: pixelBasis });
const correction = z.strictObject({
  from: frame,
  to: frame,
  by: stops,
  place: place.optional(),
  ...looks,
});
const sameRendering = z.strictObject({
  frames: z.array(z.strictObject({ frame, region })).min(2),
  tolerance,
  basis: pixelBasis,
});
const tonalPair = z.strictObject({
  frame,
  regions: z.array(z.string()).length(2),
  tolerance,
  basis: pixelBasis,
});

const relation = oneOf(
  {
    bracket,
    equivalent,
    recompose,
    correction,
    "same-rendering": sameRendering,
    "tonal-pair": tonalPair,
  },
  "What frames show together, one kind a relation",
);

const pin = z.strictObject({
  sha256: z
    .string()
    .regex(/^[0-9a-f]{64}$/)
    .describe("Of the file's bytes"),
  size: z
    .string()
    .regex(/^\d+x\d+$/)
    .describe("Upright width and height, pixels")
    .optional(),
  orientation: z.number().int().min(1).max(8).nullable().optional(),
  colour: z.string().describe("What the codes mean").optional(),
  software: z.string().nullable().describe("What wrote the file, by its own word").optional(),
  recorded: z.array(z.string()).describe("The fields that its metadata held").optional(),
  falls: z
    .record(z.string(), z.number())
    .describe("Where its regions fell, stops from middle grey, rendered or on the sensor")
    .optional(),
});

const kit = z.strictObject({
  make: z.string().optional(),
  model: z.string().optional(),
  software: z
    .array(z.string())
    .describe("Firmware that the camera writes; anything else is an edit")
    .optional(),
  measured: z
    .string()
    .min(1)
    .describe("Kit file, from the set file's folder: for claims on the scene basis, and no others")
    .optional(),
});

const frameEntry = z.strictObject({
  file: z.string().min(1).describe("Path from the set file's folder, with forward slashes"),
  like: z
    .string()
    .describe("A frame whose kit, regions and way of making hold here too")
    .optional(),
  kit: z.string().describe("The name of a kit of this set").optional(),
  made: z.string().max(500).describe("For people: how the picture was made").optional(),
  regions: z.record(z.string(), z.string()).describe("Regions by name").optional(),
  claims: z.array(claim).max(100).optional(),
});

/** The schema of a set file. */
export const setFileSchema: z.ZodType<SetFile> = z.strictObject({
  $schema: z.string().optional(),
  set: z.string().min(1).max(200).describe("The set's name, for people"),
  allow: z
    .array(z.enum(ALLOWANCES))
    .describe("What is not to count as missed: claims that cannot be told, pictures beside the set")
    .optional(),
  defaults: z
    .strictObject({ tolerance, basis: pixelBasis })
    .describe("For claims and relations that do not say")
    .optional(),
  kits: z.record(z.string(), kit).describe("Cameras by name").optional(),
  frames: z.record(z.string(), frameEntry).describe("Frames by name"),
  relations: z.array(relation).max(1000).optional(),
  pins: z
    .record(z.string(), pin)
    .describe("What the frames' files were when their author looked; --update-pins writes this")
    .optional(),
});

/** An object with exactly one of some keys, beside the name and the reason that any claim may have. */
function oneOf<Kinds extends Record<string, z.ZodType>>(kinds: Kinds, description: string) {
  const names = Object.keys(kinds);
  const optional = Object.fromEntries(
    Object.entries(kinds).map(([name, kind]) => [name, kind.optional()]),
  ) as { [K in keyof Kinds]: z.ZodOptional<Kinds[K]> };
  return z
    .strictObject({ ...optional, id, why })
    .refine((given) => names.filter((name) => name in given).length === 1, {
      error: `expected exactly one of ${names.join(", ")}`,
    })
    .meta({ description, oneOf: names.map((name) => ({ required: [name] })) });
}
