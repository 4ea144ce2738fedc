import type { ErrorCode, YAMLParseError } from "yaml";

/** What breaks the rules of YAML, for people who do not know them; the library's words where it is none of these. */
export function syntaxWords({ code, message }: Pick<YAMLParseError, "code" | "message">): string {
  return WORDS[code] ?? message;
}

const WORDS: Readonly<Partial<Record<ErrorCode, string>>> = {
  BAD_ALIAS: "a text that begins with * or & needs quotes",
  BAD_INDENT:
    "the line is indented unlike the ones around it, or a bracket before it is not closed",
  BAD_SCALAR_START: "a text that begins with @ or ` needs quotes",
  BLOCK_AS_IMPLICIT_KEY:
    "a second key stands in this line, or the next one is indented too far; give each its own line",
  MISSING_CHAR: "a colon, comma, bracket or quotation mark is missing",
  MULTILINE_IMPLICIT_KEY: "the line has no colon; write key: value",
  MULTIPLE_DOCS: "a second document begins after ---; keep one in a file",
  NON_STRING_KEY: "the key is not plain text; put it in quotes",
  UNEXPECTED_TOKEN:
    "something stands where nothing fits; put a text with quotation marks into quotes of the other kind",
};

/** Why the aliases of a file cannot be followed. */
export function aliasWords(message: string): string {
  const [, name] = /^Unresolved alias .*: (\S{1,60})$/.exec(message) ?? [];
  if (name !== undefined)
    return `*${name} refers to nothing; a text that begins with * needs quotes`;
  return "the aliases in the file expand to too much, or to themselves";
}
