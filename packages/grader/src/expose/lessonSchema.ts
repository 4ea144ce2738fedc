import { z } from "zod";
import type { SimulatedPattern } from "../model/metering.ts";

/** Stops or a placement as they are typed. */
type Typed = number | string;

/** A capture of a lesson as it is typed: `file` or `bracket`, one of the two. */
interface TypedSource {
  readonly file?: string | undefined;
  readonly bracket?: readonly string[] | undefined;
  readonly kit?: string | undefined;
  readonly "mid-grey"?: number | undefined;
}

/** One entry of a lesson: a frame or a series of frames. */
export interface LessonEntry {
  readonly from?: string | undefined;
  readonly name?: string | undefined;
  readonly caption?: string | undefined;
  readonly "as-metered"?: SimulatedPattern | undefined;
  readonly compensation?: Typed | undefined;
  readonly spot?: string | undefined;
  readonly "spot-size"?: number | undefined;
  readonly place?: Typed | undefined;
  readonly region?: string | undefined;
  readonly by?: Typed | undefined;
  readonly bracket?: string | undefined;
  readonly patterns?: true | undefined;
  readonly equivalent?: string | undefined;
  readonly curve?: string | undefined;
  readonly regions?: Readonly<Record<string, string>> | undefined;
  readonly belongs?: Typed | undefined;
}

/** A lesson file as it is typed. */
export interface LessonFile {
  readonly $schema?: string | undefined;
  readonly lesson: string;
  readonly sources: Readonly<Record<string, TypedSource>>;
  readonly curve?: string | undefined;
  readonly frames: readonly LessonEntry[];
}

const stops: z.ZodType<Typed> = z
  .union([z.number(), z.string()])
  .describe('stops, such as -2 or "+1 2/3"');

const source: z.ZodType<TypedSource> = z
  .strictObject({
    file: z.string().describe("path of a raw file from the lesson's folder").optional(),
    bracket: z.array(z.string()).min(2).describe("paths of the frames of one bracket").optional(),
    kit: z.string().describe("path of the kit file of a rendered source").optional(),
    "mid-grey": z.number().gt(0).lt(1).describe("middle grey as a share of saturation").optional(),
  })
  .refine((value) => (value.file === undefined) !== (value.bracket === undefined), {
    message: "expected file or bracket, one of the two",
  })
  .describe("a raw file, as file: slip.dng, or the frames of a bracket");

const entry: z.ZodType<LessonEntry> = z
  .strictObject({
    from: z.string().describe("the name of a source").optional(),
    name: z
      .string()
      .regex(/^[\w-]{1,80}$/)
      .describe("the frame's name, of letters, digits, hyphens and underscores")
      .optional(),
    caption: z.string().max(300).describe("a sentence of at most 300 characters").optional(),
    "as-metered": z
      .enum(["spot", "partial", "centre-weighted", "average", "multi-segment"])
      .describe("the pattern that the camera follows")
      .optional(),
    compensation: stops.optional(),
    spot: z.string().describe("centre of the spot, as 0.3,0.6").optional(),
    "spot-size": z.number().gt(0).max(1).describe("the spot's share of the frame").optional(),
    place: z
      .union([z.number(), z.string()])
      .describe("where the region is to fall: snow, -2, 36%")
      .optional(),
    region: z.string().describe("the subject: spot, or box:x,y,w,h").optional(),
    by: stops.optional(),
    bracket: z.string().describe("-2..+2 by 1").optional(),
    patterns: z.literal(true).describe("true").optional(),
    equivalent: z.string().describe("f-numbers, as f4,f8,f11").optional(),
    curve: z.string().describe("plain, print or kit:FILE").optional(),
    regions: z
      .record(z.string().regex(/^[\w-]{1,80}$/), z.string())
      .describe("regions by name")
      .optional(),
    belongs: z
      .union([z.number(), z.string()])
      .describe("where the subject's tone belongs, so that its error is claimed")
      .optional(),
  })
  .describe("a frame, or a series: one of as-metered, place, by, patterns");

/** The form of a lesson file. */
export const lessonSchema: z.ZodType<LessonFile> = z
  .strictObject({
    $schema: z.string().optional(),
    lesson: z.string().min(1).max(200).describe("the lesson's name"),
    sources: z.record(z.string(), source).describe("captures by name"),
    curve: z.string().describe("plain, print or kit:FILE").optional(),
    frames: z.array(entry).min(1).max(100).describe("frames in the order of the wall"),
  })
  .describe("a lesson: sources and frames");

/** The JSON Schema of a lesson file, as it is published. */
export function lessonJsonSchema(): object {
  return {
    title: "Tonefall lesson",
    description:
      "Frames to make from captures, in the order in which they are shown; YAML or JSON. Stops are relative to middle grey, positive is brighter.",
    ...z.toJSONSchema(lessonSchema, { io: "input" }),
  };
}
