/** A typing mistake in a YAML text: where it is, what is wrong, and the line as it was probably meant. */
export interface Slip {
  /** Line, from 1. */
  readonly line: number;
  /** Column, from 1. */
  readonly column: number;
  readonly what: string;
  /** The whole line, mended; null where only the writer knows. */
  readonly mended: string | null;
}

/** Longer lines were not typed by a person, and are skipped. */
const LONGEST_LINE = 2_000;

/** How many lines are searched; a longer file was not written by hand. */
const MOST_LINES = 5_000;

type Check = (line: string) => Omit<Slip, "line"> | null;

/**
 * The first mistake of the kind that people make who write YAML by hand; null where there is none.
 *
 * Call it for a text that has already been refused: a slip explains the parser's message, but is not always an error itself.
 */
export function slipOfHand(text: string): Slip | null {
  const lines = text.split(/\r?\n/, MOST_LINES);
  for (const [index, line] of lines.entries()) {
    if (line.length > LONGEST_LINE || /^\s*#/.test(line)) continue;
    for (const check of CHECKS) {
      const slip = check(line);
      if (slip) return { line: index + 1, ...slip };
    }
  }
  return null;
}

const CHECKS: readonly Check[] = [
  tabIndent,
  curlyQuotes,
  bareGlob,
  mappingInLine,
  globBesideBrace,
  bareRegion,
  colonWithoutSpace,
  openBrace,
];

/** YAML allows only spaces for indents. */
function tabIndent(line: string): ReturnType<Check> {
  const [indent = ""] = /^[ \t]*/.exec(line) ?? [];
  if (!indent.includes("\t")) return null;
  return {
    column: indent.indexOf("\t") + 1,
    what: "YAML needs spaces here, not a tab",
    mended: indent.replaceAll("\t", "  ") + line.slice(indent.length),
  };
}

/** The curly quotation marks of a word processor. */
function curlyQuotes(line: string): ReturnType<Check> {
  const at = line.search(/[\u201C-\u201F\u00AB\u00BB]/);
  if (at < 0) return null;
  return {
    column: at + 1,
    what: `YAML accepts only straight quotation marks, not ${line[at]}`,
    mended: line.replace(/[\u201C-\u201F\u00AB\u00BB]/g, '"'),
  };
}

/** YAML gives an asterisk or an exclamation mark at the start of a key a special meaning. */
function bareGlob(line: string): ReturnType<Check> {
  const [, indent = "", glob] =
    /^(\s*)([*!&%@`?{[][^\s"':]{0,200})\s{0,8}:(?=\s|$)/.exec(line) ?? [];
  if (glob === undefined) return null;
  return {
    column: indent.length + 1,
    what: `the glob ${glob} needs quotes, because "${glob[0]}" has a special meaning in YAML`,
    mended: `${indent}"${glob}"${line.slice(indent.length + glob.length)}`,
  };
}

/** `"**": place: tar`: the second key needs braces, or a line of its own. */
function mappingInLine(line: string): ReturnType<Check> {
  const [, start = "", key = "", rest] =
    /^(\s*)("[^"]{0,200}"|'[^']{0,200}')\s{0,8}:\s{1,8}((?:place|region|tolerance|basis|transfer|gamma)\s{0,8}:.*)$/.exec(
      line,
    ) ?? [];
  if (rest === undefined) return null;
  return {
    column: start.length + key.length + 3,
    what: "one line has two keys; put the second one in braces",
    mended: `${start}${key}: { ${rest.trim()} }`,
  };
}

/** `"*.jpg" {place: tar}` and `"*.jpg":{place: tar}`: a name and its braces need a colon and a space between them. */
function globBesideBrace(line: string): ReturnType<Check> {
  const [, start = "", name = "", colon = "", rest] =
    /^(\s*)("[^"]{0,200}"|'[^']{0,200}')(:|\s{1,8})(\{.*)$/.exec(line) ?? [];
  if (rest === undefined) return null;
  return {
    column: start.length + name.length + 1,
    what: `a ${colon === ":" ? "space" : "colon"} is missing after ${name}${colon.trim()}`,
    mended: `${start}${name}: ${rest}`,
  };
}

/** Inside braces or brackets a comma ends a value, and so splits a region's numbers. */
function bareRegion(line: string): ReturnType<Check> {
  const found =
    /(?<=[\s{[,])(?:box|circle|ellipse|polygon|spot|partial)\s?:\s?[-\d., ]{3,400}/.exec(
      withoutQuoted(line),
    );
  if (!found || !/[{[]/.test(line.slice(0, found.index))) return null;
  const length = found[0].split("").findLastIndex((character) => /\d/.test(character)) + 1;
  const bare = found[0].slice(0, length);
  if (!bare.includes(",")) return null;
  return {
    column: found.index + 1,
    what: `the region ${bare} needs quotes, because inside braces a comma ends the value`,
    mended: `${line.slice(0, found.index)}"${bare}"${line.slice(found.index + length)}`,
  };
}

/** `{place:tar}`: without a space YAML reads a single word. */
function colonWithoutSpace(line: string): ReturnType<Check> {
  const found =
    /(?<=^|[\s{,])(place|region|tolerance|basis|transfer|gamma|file|like|set):(?=[^\s/])/.exec(
      withoutQuoted(line),
    );
  if (!found) return null;
  const end = found.index + found[0].length;
  return {
    column: found.index + 1,
    what: `a space is missing after "${found[0]}"`,
    mended: `${line.slice(0, end)} ${line.slice(end)}`,
  };
}

/** A brace that its line does not close; the parser reports those that span several lines. */
function openBrace(line: string): ReturnType<Check> {
  const bare = withoutQuoted(line);
  const [opened, closed] = ["{", "}"].map((brace) => bare.split(brace).length - 1) as [
    number,
    number,
  ];
  if (opened <= closed || /[,{]$/.test((bare.split("#")[0] as string).trimEnd())) return null;
  return {
    column: bare.lastIndexOf("{") + 1,
    what: "the brace that opens here is not closed",
    // Where a bracket is open too, only the writer knows in which order they close.
    mended: bare.includes("[") ? null : `${line.trimEnd()} ${"}".repeat(opened - closed)}`,
  };
}

/** The line with quoted text blanked out; every other character keeps its place. */
function withoutQuoted(line: string): string {
  return line.replace(/"[^"]*"|'[^']*'/g, (quoted) => "\u0000".repeat(quoted.length));
}
