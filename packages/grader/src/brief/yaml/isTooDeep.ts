import { Lexer } from "yaml";

/** How deep a brief, set or kit file may nest, in brackets or in the indicators of one line. */
const DEEPEST = 64;

/** How far a line may be indented, spaces. */
const WIDEST_INDENT = 256;

/**
 * Whether a YAML text nests too deeply for the parser, which calls itself for each level and would crash the process. The
 * lexer does not.
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
