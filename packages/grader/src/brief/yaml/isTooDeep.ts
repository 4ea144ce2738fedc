import { Lexer } from "yaml";

/** No file of ours nests further, in brackets or in one line's indicators. */
const DEEPEST = 64;

/** Nor is a line of theirs indented further, spaces. */
const WIDEST_INDENT = 256;

/**
 * Whether a YAML text nests too deeply to be given to the parser, which calls itself for each level and would take the
 * whole process down with it. The lexer does not.
 */
export function isTooDeep(text: string): boolean {
  let brackets = 0;
  let indicators = 0;
  let startsLine = true;
  for (const token of new Lexer().lex(text)) {
    if (token === "[" || token === "{") brackets += 1;
    else if (token === "]" || token === "}") brackets -= 1;
    else if (token.startsWith("\n") || token.startsWith("\r")) indicators = 0;
    else if (brackets === 0 && (token === "-" || token === "?" || token === ":")) indicators += 1;
    const indent = startsLine && /^ +$/.test(token) ? token.length : 0;
    if (brackets > DEEPEST || indicators > DEEPEST || indent > WIDEST_INDENT) return true;
    startsLine = /^\r?\n/.test(token);
  }
  return false;
}
