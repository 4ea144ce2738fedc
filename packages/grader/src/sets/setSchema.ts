import { z } from "zod";
import { ALLOWANCES } from "../model/checkResult.ts";
import { RELATION_KINDS } from "./relationKinds.ts";
import * as parts from "./schemaParts.ts";
import type { RecordClaim, SetFile } from "./setFile.ts";

/*
 * The form of a set file. readSet reads the texts and resolves the names. The published JSON Schema is made from this, so
 * any validator of JSON Schema checks the same things.
 */

const openStops = z
  .union([z.number(), z.string()])
  .describe('Stops, a range, or one end of it: "at least 1.5", "at most -2"');
const basis = z.enum(["rendered", "scene", "settings"]);
const id = z.string().min(1).max(100).describe("A name of its own, kept over edits").optional();
const why = z.string().max(500).describe("For people: what the claim teaches").optional();
const share = z
  .union([z.number().min(0).max(1), z.string()])
  .describe('A share of the region: 0.001 or "0.1%"');

const { place, stops } = parts;
const region = parts.region.optional();
const tolerance = parts.tolerance.optional();
const pixelBasis = parts.pixelBasis.optional();

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

const relation = oneOf(
  Object.fromEntries(Object.entries(RELATION_KINDS).map(([kind, { schema }]) => [kind, schema])),
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
  software: z
    .string()
    .nullable()
    .describe("The software that the file names as its writer")
    .optional(),
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
    .describe("The firmware that the camera writes; anything else counts as an edit")
    .optional(),
  measured: z
    .string()
    .min(1)
    .describe(
      "Path of a kit file from the set file's folder; used for claims on the scene basis alone",
    )
    .optional(),
});

const frameEntry = z.strictObject({
  file: z.string().min(1).describe("Path from the set file's folder, with forward slashes"),
  like: z
    .string()
    .describe("Another frame, whose kit, transfer and regions this one takes over")
    .optional(),
  kit: z.string().describe("The name of a kit of this set").optional(),
  transfer: z
    .string()
    .describe("What the codes mean where the file does not say: linear, or gamma 2.2")
    .optional(),
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
    .describe(
      "What does not make a check fail: undecided claims, pictures that the set does not name",
    )
    .optional(),
  defaults: z
    .strictObject({ tolerance, basis: pixelBasis })
    .describe("For claims and relations that give none of their own")
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
