import { basename, dirname, relative, resolve } from "node:path";
import picomatch from "picomatch";
import { z } from "zod";
import { readYamlFile, type YamlDocument, type YamlKind } from "../yaml/yamlDocument.ts";
import { type Brief, readyBrief } from "./brief.ts";

const BRIEF_FILE: YamlKind = { what: "a brief file", code: "bad-brief" };

const BRIEF_KEYS = ["place", "region", "tolerance", "basis", "transfer"] as const;

const briefSchema = z.strictObject({
  place: z.union([z.string(), z.number()]).optional(),
  region: z.string().optional(),
  tolerance: z.union([z.string(), z.number()]).optional(),
  basis: z.string().optional(),
  transfer: z.string().optional(),
});

const fileSchema = z.record(z.string(), briefSchema);

/** The briefs of a folder of frames: which keys hold for which files. */
export interface BriefFile {
  /** What the file says, in its order: globs, each with its brief. */
  readonly entries: readonly (readonly [string, Brief])[];
  /** Globs that have matched no file yet. */
  unmatched(): string[];
  /**
   * The brief for a file: every entry whose glob matches, in order, later ones overriding key by key.
   *
   * @param path - of the frame
   * @param root - the folder it was found in, or null where the file was named itself
   */
  briefFor(path: string, root: string | null): Brief;
}

/**
 * Reads a brief file: a YAML mapping from globs of files to briefs.
 *
 * A glob is matched against the path from the brief file's folder, the path from the graded folder and, where it holds
 * no slash, the file's bare name.
 *
 * @throws {@link GraderError} `bad-brief`, with line and column
 */
export async function readBriefFile(path: string): Promise<BriefFile> {
  const said = parseEntries(await readYamlFile(path, BRIEF_FILE));
  const entries = said.map(([glob, brief]) => ({
    glob,
    brief,
    matches: picomatch(glob),
    used: false,
  }));
  const home = dirname(resolve(path));
  return {
    entries: said,
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

/** The names that a glob may match, the bare name last. */
function namesOf(file: string, home: string, root: string | null): string[] {
  const fromHome = slashes(relative(home, resolve(file)));
  const names = fromHome.startsWith("../") ? [] : [fromHome];
  if (root !== null) names.push(slashes(relative(resolve(root), resolve(file))));
  return [...names, basename(file)];
}

function parseEntries({ data, refusal, positionOf, keyPosition }: YamlDocument): [string, Brief][] {
  const parsed = fileSchema.safeParse(data ?? {});
  if (!parsed.success) {
    const [issue] = parsed.error.issues;
    const path = issue?.path ?? [];
    const unknown = issue?.code === "unrecognized_keys" ? issue.keys[0] : undefined;
    throw refusal(describe(issue), unknown ? keyPosition(path, unknown) : positionOf(path));
  }
  const entries = Object.entries(parsed.data) as [string, Brief][];
  if (entries.length === 0) throw refusal("the file has no entries");
  for (const [glob, brief] of entries) {
    try {
      readyBrief(brief);
    } catch (error) {
      throw refusal((error as Error).message, positionOf([glob]));
    }
  }
  return entries;
}

function describe(issue: z.core.$ZodIssue | undefined): string {
  if (issue?.code === "unrecognized_keys") {
    return `"${issue.keys.join('", "')}" is not a key of a brief; the keys are ${BRIEF_KEYS.join(", ")}`;
  }
  if (issue?.path.length === 0) {
    return 'expected globs of files with their briefs, such as "dark-*.jpg": { place: -2 }';
  }
  if (issue?.path.length === 1) {
    return `expected keys (${BRIEF_KEYS.join(", ")}) for "${String(issue.path[0])}"`;
  }
  return `"${String(issue?.path.at(-1))}" has a value of the wrong kind`;
}

function slashes(path: string): string {
  return path.replaceAll("\\", "/");
}
