import { readFile, stat } from "node:fs/promises";
import { LineCounter, type Pair, parseDocument, type Scalar } from "yaml";
import { GraderError, type GraderErrorCode } from "../errors.ts";

/** A text of ours larger than this is none of ours. */
const LARGEST_BYTES = 1_000_000;

/** A place in a text file, both counted from 1. */
export interface TextPosition {
  readonly line: number;
  readonly column: number;
}

/** Which kind of file is read, and the code it is refused with. */
export interface YamlKind {
  /** With its article: `a brief file`. */
  readonly what: string;
  readonly code: GraderErrorCode;
}

/** A YAML or JSON file as plain data, with where each part of it stands. */
export interface YamlDocument {
  readonly text: string;
  readonly data: unknown;
  /** Where a value stands; of a path that leads nowhere, the deepest part that does. Null for the document itself. */
  positionOf(path: readonly PropertyKey[]): TextPosition | null;
  /** Where a key of the mapping at a path stands. */
  keyPosition(path: readonly PropertyKey[], key: string): TextPosition | null;
  /** Offsets in {@link YamlDocument.text} of a value, from its first character to after its last; null where there is none. */
  extentOf(path: readonly PropertyKey[]): readonly [number, number] | null;
  /** An error that names the file and the place. */
  refusal(what: string, at?: TextPosition | null): GraderError;
}

/**
 * Reads a YAML file; JSON is YAML.
 *
 * @throws {@link GraderError} of the kind's code: the file cannot be read or is over 1 MB, the text is no YAML, or its
 *   aliases expand without end
 */
export async function readYamlFile(path: string, kind: YamlKind): Promise<YamlDocument> {
  return parseYaml(await readText(path, kind), path, kind);
}

/** {@link readYamlFile} for a text at hand; the path is for messages alone. */
export function parseYaml(text: string, path: string, { code }: YamlKind): YamlDocument {
  const lines = new LineCounter();
  const refusal = (what: string, at: TextPosition | null = null): GraderError =>
    new GraderError(code, `${path}${at ? `:${at.line}:${at.column}` : ""}: ${what}`);
  const position = (offset: number): TextPosition => {
    const { line, col } = lines.linePos(offset);
    return { line, column: col };
  };
  const attempt = <T>(read: () => T): T => {
    try {
      return read();
    } catch (error) {
      // A text nested without end runs out of stack, one of aliases of aliases into the library's own limit.
      const deep = error instanceof RangeError;
      throw refusal(deep ? "it is nested too deeply" : (error as Error).message);
    }
  };
  const document = attempt(() =>
    parseDocument(text, { lineCounter: lines, prettyErrors: false, stringKeys: true }),
  );
  const [syntax] = document.errors;
  if (syntax) throw refusal(syntax.message, position(syntax.pos[0]));
  const data: unknown = attempt(() => document.toJS({ maxAliasCount: 100 }));

  const extentOf = (path: readonly PropertyKey[]): readonly [number, number] | null => {
    const node = (path.length === 0 ? document.contents : document.getIn(path, true)) as
      | { range?: readonly number[] | null }
      | null
      | undefined;
    return node?.range ? [node.range[0] as number, node.range[1] as number] : null;
  };
  return {
    text,
    data,
    refusal,
    extentOf,
    positionOf: (path) => {
      for (let depth = path.length; depth > 0; depth--) {
        const extent = extentOf(path.slice(0, depth));
        if (extent) return position(extent[0]);
      }
      return null;
    },
    keyPosition: (path, key) => {
      const map = path.length === 0 ? document.contents : document.getIn(path, true);
      const items = ((map as { items?: unknown }).items ?? []) as Pair<Scalar, unknown>[];
      const range = items.find((item) => item.key?.value === key)?.key.range;
      return range ? position(range[0]) : null;
    },
  };
}

async function readText(path: string, { what, code }: YamlKind): Promise<string> {
  try {
    const { size } = await stat(path);
    if (size <= LARGEST_BYTES) return await readFile(path, "utf8");
  } catch (cause) {
    const reason = (cause as NodeJS.ErrnoException).code;
    const why = reason === "ENOENT" ? "there is no such file" : `it cannot be read (${reason})`;
    throw new GraderError(code, `Expected ${what} at ${path}, but ${why}`, { cause });
  }
  throw new GraderError(code, `Expected ${what} but ${path} is larger than 1 MB`);
}
