import { basename, dirname, relative, resolve } from "node:path";
import { z } from "zod";
import { type Brief, readyBrief } from "./brief.ts";
import { BRIEF_KINDS, likelyMeant } from "./likelyMeant.ts";
import { nameGlob } from "./nameGlob.ts";
import { schemaProblem } from "./yaml/schemaProblem.ts";
import { textOf } from "./yaml/textOf.ts";
import {
  parseYaml,
  readYamlFile,
  type YamlDocument,
  type YamlKind,
  yamlText,
} from "./yaml/yamlDocument.ts";

const BRIEF_FILE: YamlKind = { what: "a brief file", code: "bad-brief" };

const EXAMPLE = '"dark-*.jpg": { place: -2 }';

const briefSchema = z
  .strictObject({
    place: z
      .union([z.string(), z.number()])
      .describe(
        'a tone (snow), stops (-2), a range (1.5..2.3), a reflectance ("36%") or a zone (VI)',
      )
      .optional(),
    region: z.string().describe('such as spot, or "box:0.3,0.3,0.4,0.4" in quotes').optional(),
    tolerance: z.union([z.string(), z.number()]).describe("stops, such as 1/3").optional(),
    basis: z.string().describe("rendered, scene or settings").optional(),
    transfer: z.string().describe("linear, or gamma 2.2").optional(),
    gamma: z.union([z.string(), z.number()]).describe("a number such as 2.2").optional(),
  })
  .describe("keys such as place and region");

const fileSchema = z
  .record(z.string(), briefSchema)
  .describe(`globs of files, each with its brief: ${EXAMPLE}`);

/** The briefs in a brief file, by the files that they apply to. */
export interface BriefFile {
  /** Globs with their briefs, in the order of the file. */
  readonly entries: readonly (readonly [string, Brief])[];
  /** Globs that have matched no file yet. */
  unmatched(): string[];
  /**
   * The brief for a file. All entries whose globs match apply, in order; a later one overrides an earlier one key by key.
   *
   * @param path - of the frame
   * @param root - the folder in which it was found; null where the file itself was named
   */
  briefFor(path: string, root: string | null): Brief;
}

/**
 * Reads a brief file: a YAML mapping from globs of files to briefs.
 *
 * A glob is matched against the path from the brief file's folder, the path from the graded folder and, where it holds
 * no slash, the file's bare name. Capital and small letters count as the same, since cameras write both `.JPG` and `.jpg`;
 * so do the two ways in which systems store an accent.
 *
 * @throws {@link GraderError} `bad-brief`, with line and column
 */
export async function readBriefFile(path: string): Promise<BriefFile> {
  return briefFileOf(await readYamlFile(path, BRIEF_FILE), dirname(resolve(path)));
}

/**
 * {@link readBriefFile} for bytes at hand, as if they stood in a file in the working folder.
 *
 * @param name - for messages
 */
export function parseBriefFile(bytes: Uint8Array, name: string): BriefFile {
  return briefFileOf(parseYaml(textOf(bytes, name, BRIEF_FILE), name, BRIEF_FILE), process.cwd());
}

function briefFileOf(document: YamlDocument, home: string): BriefFile {
  const stated = parseEntries(document);
  const entries = stated.map(([glob, brief]) => ({
    glob,
    brief,
    matches: nameGlob(glob),
    used: false,
  }));
  return {
    entries: stated,
    unmatched: () => entries.filter(({ used }) => !used).map(({ glob }) => glob),
    briefFor: (file, root) => {
      const candidates = namesOf(file, home, root);
      let brief: Brief = {};
      for (const entry of entries) {
        const bare = !entry.glob.includes("/");
        const names = bare ? candidates : candidates.slice(0, -1);
        if (!names.some((name) => entry.matches(name))) continue;
        entry.used = true;
        brief = { ...brief, ...entry.brief };
      }
      return brief;
    },
  };
}

/** The names that a glob may match; the bare name comes last. */
function namesOf(file: string, home: string, root: string | null): string[] {
  const fromHome = slashes(relative(home, resolve(file)));
  const names = fromHome.startsWith("../") ? [] : [fromHome];
  if (root !== null) names.push(slashes(relative(resolve(root), resolve(file))));
  return [...names, basename(file)];
}

function parseEntries(document: YamlDocument): [string, Brief][] {
  const { data, refusal, positionOf, lineWith } = document;
  const parsed = fileSchema.safeParse(data ?? {});
  const [first] = Object.entries(data ?? {});
  if (first && isBriefKey(first[0]) && typeof first[1] !== "object") {
    throw refusal(
      `"${first[0]}" stands where a glob of files is expected; use "**" for all files`,
      positionOf([]) ?? { line: 1, column: 1 },
      `"**": { ${asOneBrief(data ?? {})} }`,
    );
  }
  if (!parsed.success) {
    const { what, at, mended } = schemaProblem(parsed.error, fileSchema, document);
    throw refusal(what, at, mended);
  }
  const entries = Object.entries(parsed.data) as [string, Brief][];
  if (entries.length === 0) {
    throw refusal("the file has no entries; tonefall new-brief writes a first one", null, EXAMPLE);
  }
  for (const [glob, brief] of entries) {
    for (const key of Object.keys(brief) as (keyof Brief)[]) {
      try {
        readyBrief({ [key]: brief[key] });
      } catch (error) {
        const meant = meantBy(key, brief[key]);
        const mended = meant === null ? null : lineWith([glob, key], yamlText(meant));
        throw refusal((error as Error).message, positionOf([glob, key]), mended);
      }
    }
    // Each key is right by itself; transfer and gamma may still contradict each other.
    try {
      readyBrief(brief);
    } catch (error) {
      throw refusal((error as Error).message, positionOf([glob, "gamma"]));
    }
  }
  return entries.map(([glob, brief]) => [glob, withoutGamma(brief)]);
}

function isBriefKey(key: string): key is keyof Brief {
  return Object.hasOwn(BRIEF_KINDS, key);
}

function meantBy(key: keyof Brief, value: unknown): string | null {
  return likelyMeant(BRIEF_KINDS[key], value, (text) => readyBrief({ [key]: text }));
}

/** The keys of a brief and what was likely meant by their values, as they stand in braces. */
function asOneBrief(data: object): string {
  return Object.entries(data)
    .flatMap(([key, value]) => {
      if (!isBriefKey(key) || typeof value === "object") return [];
      return `${key}: ${yamlText(meantBy(key, value) ?? String(value))}`;
    })
    .join(", ");
}

/** A brief that says `gamma` as a transfer: two names of one thing would not override each other. */
function withoutGamma({ gamma, ...brief }: Brief): Brief {
  return gamma === undefined ? brief : { ...brief, transfer: `gamma ${String(gamma).trim()}` };
}

function slashes(path: string): string {
  return path.replaceAll("\\", "/");
}
