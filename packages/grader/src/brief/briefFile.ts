import { readFile } from "node:fs/promises";
import { basename, dirname, relative, resolve } from "node:path";
import picomatch from "picomatch";
import { LineCounter, parseDocument } from "yaml";
import { z } from "zod";
import { GraderError } from "../errors.ts";
import { type Brief, readyBrief } from "./brief.ts";

/** A brief file larger than this is no brief. */
const LARGEST_BYTES = 1_000_000;

const BRIEF_KEYS = ["place", "region", "tolerance", "basis"] as const;

const briefSchema = z.strictObject({
  place: z.union([z.string(), z.number()]).optional(),
  region: z.string().optional(),
  tolerance: z.union([z.string(), z.number()]).optional(),
  basis: z.string().optional(),
});

const fileSchema = z.record(z.string(), briefSchema);

/** The briefs of a folder of frames: which keys hold for which files. */
export interface BriefFile {
  /** The globs in the file's order. */
  readonly globs: readonly string[];
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
  const text = await readText(path);
  const entries = parseEntries(text, path).map(([glob, brief]) => ({
    glob,
    brief,
    matches: picomatch(glob),
    used: false,
  }));
  const home = dirname(resolve(path));
  return {
    globs: entries.map(({ glob }) => glob),
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

async function readText(path: string): Promise<string> {
  try {
    const text = await readFile(path, "utf8");
    if (text.length <= LARGEST_BYTES) return text;
  } catch (cause) {
    const code = (cause as NodeJS.ErrnoException).code;
    const why = code === "ENOENT" ? "there is no such file" : `it cannot be read (${code})`;
    throw new GraderError("bad-brief", `Expected a brief file at ${path}, but ${why}`, { cause });
  }
  throw new GraderError("bad-brief", `Expected a brief file but ${path} is larger than 1 MB`);
}

function parseEntries(text: string, path: string): [string, Brief][] {
  const lines = new LineCounter();
  const document = parseDocument(text, { lineCounter: lines, prettyErrors: false });
  const [syntax] = document.errors;
  if (syntax) throw refusal(path, syntax.message, lines.linePos(syntax.pos[0]));

  // toJS expands aliases within the library's own limit, which a file of aliases of aliases runs into.
  const data = attempt(() => document.toJS({ maxAliasCount: 100 }), path);
  const parsed = fileSchema.safeParse(data ?? {});
  if (!parsed.success) {
    const [issue] = parsed.error.issues;
    throw refusal(path, describe(issue), positionOf(issue?.path ?? []));
  }
  const entries = Object.entries(parsed.data) as [string, Brief][];
  if (entries.length === 0) throw refusal(path, "the file has no entries", null);
  for (const [glob, brief] of entries) {
    try {
      readyBrief(brief);
    } catch (error) {
      throw refusal(path, (error as Error).message, positionOf([glob]));
    }
  }
  return entries;

  function positionOf(keys: readonly PropertyKey[]): { line: number; col: number } | null {
    const known = keys.filter((key) => typeof key === "string");
    for (let depth = known.length; depth > 0; depth--) {
      const node = document.getIn(known.slice(0, depth), true) as
        | { range?: readonly number[] }
        | undefined;
      if (node?.range) return lines.linePos(node.range[0] as number);
    }
    return null;
  }
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

function refusal(
  path: string,
  what: string,
  at: { line: number; col: number } | null,
): GraderError {
  const place = at ? `:${at.line}:${at.col}` : "";
  return new GraderError("bad-brief", `${path}${place}: ${what}`);
}

function attempt<T>(read: () => T, path: string): T {
  try {
    return read();
  } catch (error) {
    throw refusal(path, (error as Error).message, null);
  }
}

function slashes(path: string): string {
  return path.replaceAll("\\", "/");
}
