import { nearestWord } from "@tonefall/tone-core";
import type { z } from "zod";
import type { TextPosition, YamlDocument } from "./yamlDocument.ts";

/**
 * The first thing that is wrong with a file by its schema, as one sentence with the nearest known key, and where.
 *
 * @param error - from the schema
 * @param schema - which the document was held against
 */
export function schemaProblem(
  error: z.ZodError,
  schema: z.ZodType,
  document: Pick<YamlDocument, "positionOf" | "keyPosition">,
): { readonly what: string; readonly at: TextPosition | null } {
  // A key that is not one explains another that is missing.
  const issue =
    error.issues.find(({ code }) => code === "unrecognized_keys") ??
    (error.issues[0] as z.core.$ZodIssue);
  const { path } = issue;
  const where = path.length === 0 ? "the file" : `"${path.map(String).join(".")}"`;
  if (issue.code !== "unrecognized_keys") {
    return { what: `${where} ${problem(issue)}`, at: document.positionOf(path) };
  }
  const unknown = issue.keys[0] as string;
  const known = keysAt(schema, path);
  const nearest = nearestWord(unknown, known);
  const help = nearest ? `did you mean "${nearest}"?` : `the keys are ${known.join(", ")}`;
  return {
    what: `"${unknown}" is not a key of ${where}; ${help}`,
    at: document.keyPosition(path, unknown),
  };
}

function problem({ code, message }: z.core.$ZodIssue): string {
  if (code === "invalid_union") return "has a value of the wrong kind";
  return message.endsWith("received undefined") ? "is missing" : `is not valid: ${message}`;
}

/** The keys that an object at a path of a schema may have. */
function keysAt(schema: z.ZodType, path: readonly PropertyKey[]): readonly string[] {
  let at: z.core.$ZodType | undefined = schema;
  for (const step of path) at = child(bare(at), step);
  const { def } = (bare(at) as z.core.$ZodObject | undefined)?._zod ?? {};
  return def?.type === "object" ? Object.keys(def.shape) : [];
}

function child(
  schema: z.core.$ZodType | undefined,
  step: PropertyKey,
): z.core.$ZodType | undefined {
  const def = (schema as z.core.$ZodTypes | undefined)?._zod.def;
  if (def?.type === "object") return def.shape[step as string];
  if (def?.type === "array") return def.element;
  return def?.type === "record" ? def.valueType : undefined;
}

/** A schema without what only says that it may be left out. */
function bare(schema: z.core.$ZodType | undefined): z.core.$ZodType | undefined {
  const def = (schema as z.core.$ZodTypes | undefined)?._zod.def;
  return def?.type === "optional" || def?.type === "nullable" ? bare(def.innerType) : schema;
}
