import {
  type Document,
  isAlias,
  isMap,
  isSeq,
  LineCounter,
  type Node,
  type Pair,
  parseDocument,
  type Scalar,
  stringify,
  visit,
  type YAMLMap,
} from "yaml";
import { GraderError, type GraderErrorCode } from "../../model/errors.ts";
import { whyUnreadable } from "../../model/whyUnreadable.ts";
import { isTooDeep } from "./isTooDeep.ts";
import { readWhole } from "./readWhole.ts";
import { slipOfHand } from "./slipsOfHand.ts";
import { aliasWords, syntaxWords } from "./syntaxWords.ts";
import { textOf, type YamlKind } from "./textOf.ts";

export type { YamlKind } from "./textOf.ts";

/** A larger file takes over a second to read; for comparison, a frame of a set takes some 600 bytes. */
export const LARGEST_YAML_BYTES = 256_000;

/** A place in a text file, both counted from 1. */
export interface TextPosition {
  readonly line: number;
  readonly column: number;
}

/** A YAML or JSON file as plain data, with the place of each part. */
export interface YamlDocument {
  readonly text: string;
  readonly data: unknown;
  /** The place of a value, or of the deepest part of the path that exists; null for the document itself. */
  positionOf(path: readonly PropertyKey[]): TextPosition | null;
  /** The place of a key in the mapping at a path; null where there is none. */
  keyPosition(path: readonly PropertyKey[], key: string): TextPosition | null;
  /** Offsets in {@link YamlDocument.text} of a value, from its first character to after its last; null where there is none. */
  extentOf(path: readonly PropertyKey[]): readonly [number, number] | null;
  /** The line of a value, with another text in its place; null where the value spans several lines. */
  lineWith(path: readonly PropertyKey[], text: string): string | null;
  /**
   * An error that names the file and the place. Where that line or an earlier one shows a slip of the hand, the error
   * reports the slip instead, because it explains the rest.
   *
   * @param mended - the line as it was probably meant
   */
  refusal(what: string, at?: TextPosition | null, mended?: string | null): GraderError;
}

/**
 * Reads a YAML file; JSON is YAML.
 *
 * @throws {@link GraderError} with the kind's code, where the file cannot be read or is over 256 kB, the text is not YAML,
 *   or its aliases expand without end
 */
export async function readYamlFile(path: string, kind: YamlKind): Promise<YamlDocument> {
  return parseYaml(await readText(path, kind), path, kind);
}

/** Reads a YAML text; the path is for messages alone. */
export function parseYaml(text: string, path: string, { code, begin }: YamlKind): YamlDocument {
  const refusal = refusalsOf(text, path, code);
  if (isTooDeep(text)) throw refusal("the file is nested too deeply");
  const { document, position } = parsed(text, refusal);
  const data = plainData(document, refusal);
  if (data === null && begin) throw refusal(`the file is empty; ${begin} writes a first one`);
  const pairs = pairFinder();
  const nodeAt = nodeFinder(document, pairs);
  const extentOf = (path: readonly PropertyKey[]): readonly [number, number] | null => {
    const range = nodeAt(path)?.range;
    return range ? [range[0], range[1]] : null;
  };
  return {
    text,
    data,
    refusal,
    extentOf,
    lineWith: (path, replacement) => lineWith(text, extentOf(path), replacement),
    positionOf: (path) => {
      for (let depth = path.length; depth > 0; depth--) {
        const extent = extentOf(path.slice(0, depth));
        if (extent) return position(extent[0]);
      }
      return null;
    },
    keyPosition: (path, key) => {
      const map = nodeAt(path);
      const range = isMap(map) ? pairs(map).get(key)?.key.range : null;
      return range ? position(range[0]) : null;
    },
  };
}

/** Makes the errors of one file. */
function refusalsOf(text: string, path: string, code: GraderErrorCode): YamlDocument["refusal"] {
  return (what, at = null, mended = null) => {
    const slip = slipOfHand(text);
    const explains = slip && (at === null || slip.line <= at.line + 1) ? slip : null;
    const place = explains ?? at;
    const where = place ? `:${place.line}:${place.column}` : "";
    const write = explains ? explains.mended : mended;
    const help = write === null ? "" : `\nWrite: ${write.trim()}`;
    return new GraderError(code, `${path}${where}: ${explains?.what ?? what}${help}`);
  };
}

/** The document of a text, in which no key appears twice, with the line and column of an offset. */
function parsed(
  text: string,
  refusal: YamlDocument["refusal"],
): { document: Document; position: (offset: number) => TextPosition } {
  const lineCounter = new LineCounter();
  const position = (offset: number): TextPosition => {
    const { line, col } = lineCounter.linePos(offset);
    return { line, column: col };
  };
  const document = attempt(
    () =>
      parseDocument(text, {
        lineCounter,
        prettyErrors: false,
        stringKeys: true,
        // The library compares every key with every other one, which takes minutes where there are very many.
        uniqueKeys: false,
        // A tag such as !!binary would make bytes of a text that a person typed.
        resolveKnownTags: false,
      }),
    (error) => refusal(error.message),
  );
  const [syntax] = document.errors;
  if (syntax) throw refusal(syntaxWords(syntax), position(syntax.pos[0]));
  const twice = repeatedKey(document);
  if (twice) {
    throw refusal(
      `the key "${twice.value}" appears twice; put everything that belongs to it in one place`,
      position(twice.range?.[0] ?? 0),
    );
  }
  return { document, position };
}

/** The first key that its mapping has already; null where there is none. */
function repeatedKey(document: Document): Scalar | null {
  let repeated: Scalar | null = null;
  visit(document, {
    Map: (_, { items }) => {
      const seen = new Set<unknown>();
      for (const { key } of items as Pair<Scalar>[]) {
        if (seen.has(key.value)) {
          repeated = key;
          return visit.BREAK;
        }
        seen.add(key.value);
      }
      return undefined;
    },
  });
  return repeated;
}

function plainData(document: Document, refusal: YamlDocument["refusal"]): unknown {
  return attempt(
    () => document.toJS({ maxAliasCount: 100 }),
    ({ message }) => refusal(aliasWords(message)),
  );
}

function attempt<T>(read: () => T, refused: (error: Error) => GraderError): T {
  try {
    return read();
  } catch (error) {
    throw refused(error as Error);
  }
}

/** Finds the part of a document at a path, through aliases. */
function nodeFinder(
  document: Document,
  pairs: (map: YAMLMap) => PairsByKey,
): (path: readonly PropertyKey[]) => Node | null {
  return (path) => {
    let node = document.contents as Node | null;
    for (const step of path) {
      if (isAlias(node)) node = (node.resolve(document) ?? null) as Node | null;
      if (isMap(node)) node = (pairs(node).get(String(step))?.value ?? null) as Node | null;
      else node = isSeq(node) ? ((node.items[Number(step)] ?? null) as Node | null) : null;
    }
    return node;
  };
}

/** The line around an extent, with another text in its place; null where that spans several lines, or is nothing. */
function lineWith(
  text: string,
  extent: readonly [number, number] | null,
  replacement: string,
): string | null {
  const [from, to] = extent ?? [0, 0];
  if (to === from || text.slice(from, to).includes("\n")) return null;
  const start = text.lastIndexOf("\n", from - 1) + 1;
  const end = text.indexOf("\n", to);
  return `${text.slice(start, from)}${replacement}${text.slice(to, end < 0 ? undefined : end).trimEnd()}`;
}

type PairsByKey = ReadonlyMap<string, Pair<Scalar>>;

/** Finds the pairs of a mapping by key, and reads each mapping only once. */
function pairFinder(): (map: YAMLMap) => PairsByKey {
  const known = new Map<YAMLMap, PairsByKey>();
  return (map) => {
    const found =
      known.get(map) ??
      new Map((map.items as Pair<Scalar>[]).map((pair) => [String(pair.key.value), pair]));
    known.set(map, found);
    return found;
  };
}

async function readText(path: string, { what, code }: YamlKind): Promise<string> {
  const bytes = await readWhole(path, LARGEST_YAML_BYTES).catch((cause) => {
    throw new GraderError(code, `Expected ${what} at ${path}, but ${whyUnreadable(cause)}`, {
      cause,
    });
  });
  if (bytes) return textOf(bytes, path, { what, code });
  throw new GraderError(code, `Expected ${what} but ${path} is larger than 256 kB`);
}

/** A text as a YAML value, in quotes where it would otherwise be read as something else. */
export function yamlText(text: string): string {
  return stringify(text, {
    lineWidth: 0,
    defaultStringType: /[:,#{}[\]]/.test(text) ? "QUOTE_DOUBLE" : "PLAIN",
  }).trimEnd();
}
