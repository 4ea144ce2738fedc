import { nearestWord } from "@tonefall/tone-core";
import type { z } from "zod";
import type { TextPosition, YamlDocument } from "./yamlDocument.ts";

/** What is wrong with a file: one sentence, the place, and the line as it was probably meant. */
export interface YamlProblem {
  readonly what: string;
  readonly at: TextPosition | null;
  readonly mended: string | null;
}

/** Longer values are cut in a message. */
const SHOWN_LENGTH = 60;

/**
 * The first problem that a schema finds in a file.
 *
 * @param error - from the schema
 * @param schema - that refused the document; its descriptions say what was expected
 */
export function schemaProblem(
  error: z.ZodError,
  schema: z.ZodType,
  document: Pick<YamlDocument, "data" | "positionOf" | "keyPosition" | "lineWith">,
): YamlProblem {
  // An unknown key often explains why another one is missing.
  const issue = deepest(
    error.issues.find(({ code }) => code === "unrecognized_keys") ??
      (error.issues[0] as z.core.$ZodIssue),
  );
  const { path } = issue;
  const where = path.length === 0 ? "the file" : `"${path.map(String).join(".")}"`;
  if (issue.code !== "unrecognized_keys") {
    const found = valueAt(document.data, path);
    const meant = meantBy(issue, found);
    const expected = expectedBy(issue, bare(schemaAt(schema, path)));
    const help = meant !== null && issue.code === "invalid_value" ? `; did you mean ${meant}?` : "";
    return {
      what:
        found === undefined
          ? `${where} is missing; it should hold ${expected}`
          : `${where} holds ${shown(found)}, but ${expected} was expected${help}`,
      at: document.positionOf(path),
      mended: meant === null ? null : document.lineWith(path, meant),
    };
  }
  const unknown = issue.keys[0] as string;
  const known = keysAt(schema, path);
  const nearest = nearestWord(unknown, known) ?? longerOrShorter(unknown, known);
  const help = nearest ? `did you mean "${nearest}"?` : `the keys are ${known.join(", ")}`;
  return {
    what: `"${unknown}" is not a key of ${where}; ${help}`,
    at: document.keyPosition(path, unknown),
    mended: null,
  };
}

/** Where one of several forms fits but for something within it, that is the problem. */
function deepest(issue: z.core.$ZodIssue): z.core.$ZodIssue {
  if (issue.code !== "invalid_union") return issue;
  const within = issue.errors.flat().find(({ path }) => path.length > 0);
  return within ? deepest({ ...within, path: [...issue.path, ...within.path] }) : issue;
}

/** The only word of which the wanted one is the beginning, or the other way round; null for none and for several. */
function longerOrShorter(wanted: string, words: readonly string[]): string | null {
  const alike = words.filter((word) => word.startsWith(wanted) || wanted.startsWith(word));
  return wanted !== "" && alike.length === 1 ? (alike[0] as string) : null;
}

/** What the schema expects at an issue, in words that fit before "was expected". */
function expectedBy(issue: z.core.$ZodIssue, schema: z.core.$ZodType | undefined): string {
  if (issue.code === "invalid_value") return `one of ${issue.values.map(String).join(", ")}`;
  const description = (schema as z.ZodType | undefined)?.description;
  if (issue.code === "invalid_type") {
    const kind = KINDS[issue.expected] ?? issue.expected;
    return description === undefined ? kind : `${kind} (${description})`;
  }
  if (issue.code === "invalid_union") return description ?? "a value of another kind";
  return issue.message;
}

const KINDS: Readonly<Record<string, string>> = {
  number: "a number",
  string: "text",
  boolean: "true or false",
  object: 'a group of "key: value" pairs',
  record: 'a group of "key: value" pairs',
  array: "a list, each item after a dash",
};

/** The text that was probably meant; null where that cannot be known. */
function meantBy(issue: z.core.$ZodIssue, found: unknown): string | null {
  if (typeof found !== "string") return null;
  if (issue.code === "invalid_value") {
    const words = issue.values.map(String);
    const spelt = found
      .toLowerCase()
      .replace("center", "centre")
      .replace(/[\s_]+/g, "-");
    return (
      words.find((word) => word === spelt) ??
      nearestWord(spelt, words) ??
      longerOrShorter(spelt, words)
    );
  }
  if (issue.code !== "invalid_type") return null;
  if (issue.expected === "number") {
    // A number in quotes, an f-number as it is spoken, a decimal comma.
    const bare = found
      .trim()
      .replace(/^(?:f\/|iso\s?)/i, "")
      .replace(/^(\d+),(\d+)$/, "$1.$2");
    return bare !== "" && Number.isFinite(Number(bare)) ? bare : null;
  }
  if (issue.expected !== "boolean") return null;
  if (/^(?:yes|on|y)$/i.test(found)) return "true";
  return /^(?:no|off|n)$/i.test(found) ? "false" : null;
}

function shown(value: unknown): string {
  if (value === null) return "nothing";
  if (Array.isArray(value)) return "a list";
  if (typeof value === "object") return 'a group of "key: value" pairs';
  if (typeof value !== "string") return String(value);
  return `"${value.length > SHOWN_LENGTH ? `${value.slice(0, SHOWN_LENGTH)}…` : value}"`;
}

function valueAt(data: unknown, path: readonly PropertyKey[]): unknown {
  let at = data;
  for (const step of path) {
    if (typeof at !== "object" || at === null || !Object.hasOwn(at, step)) return undefined;
    at = (at as Readonly<Record<PropertyKey, unknown>>)[step];
  }
  return at;
}

/** The keys that an object at a path of a schema may have. */
function keysAt(schema: z.ZodType, path: readonly PropertyKey[]): readonly string[] {
  const { def } = (bare(schemaAt(schema, path)) as z.core.$ZodObject | undefined)?._zod ?? {};
  return def?.type === "object" ? Object.keys(def.shape) : [];
}

function schemaAt(schema: z.ZodType, path: readonly PropertyKey[]): z.core.$ZodType | undefined {
  let at: z.core.$ZodType | undefined = schema;
  for (const step of path) at = child(bare(at), step);
  return at;
}

function child(
  schema: z.core.$ZodType | undefined,
  step: PropertyKey,
): z.core.$ZodType | undefined {
  const def = (schema as z.core.$ZodTypes | undefined)?._zod.def;
  if (def?.type === "object") return def.shape[step as string];
  if (def?.type === "array") return def.element;
  if (def?.type === "union") {
    const isPlace = typeof step === "number";
    return child(
      def.options.find(
        (one) => ((bare(one) as z.core.$ZodTypes)._zod.def.type === "array") === isPlace,
      ),
      step,
    );
  }
  return def?.type === "record" ? def.valueType : undefined;
}

/** A schema without its wrappers for optional and nullable values. */
function bare(schema: z.core.$ZodType | undefined): z.core.$ZodType | undefined {
  const def = (schema as z.core.$ZodTypes | undefined)?._zod.def;
  return def?.type === "optional" || def?.type === "nullable" ? bare(def.innerType) : schema;
}
