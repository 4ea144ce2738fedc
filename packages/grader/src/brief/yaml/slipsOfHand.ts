/** A slip of the hand in a YAML text: what stands there, why it does not work, and the line as it was probably meant. */
export interface Slip {
  /** Line, from 1. */
  readonly line: number;
  /** Column, from 1. */
  readonly column: number;
  readonly what: string;
  /** The whole line, mended; null where only the writer knows. */
  readonly mended: string | null;
}

/** Longer lines are nothing that a person typed, and are not looked at. */
const LONGEST_LINE = 2_000;

/** A slip is looked for on this many lines; a file of ours that is longer was not written by hand. */
const MOST_LINES = 5_000;

type Check = (line: string) => Omit<Slip, "line"> | null;

/**
 * The first slip that people make who write YAML by hand, or null where the text shows none of them.
 *
 * Meant for a text that has been refused already: what it finds explains a parser's words, and is not an error by itself.
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
  bareRegion,
  colonWithoutSpace,
  openBrace,
];

/** YAML indents with spaces alone. */
function tabIndent(line: string): ReturnType<Check> {
  const [indent = ""] = /^[ \t]*/.exec(line) ?? [];
  if (!indent.includes("\t")) return null;
  return {
    column: indent.indexOf("\t") + 1,
    what: "a tab stands where YAML wants spaces",
    mended: indent.replaceAll("\t", "  ") + line.slice(indent.length),
  };
}

/** Quotation marks that a word processor has turned. */
function curlyQuotes(line: string): ReturnType<Check> {
  const at = line.search(/[\u201C-\u201F\u00AB\u00BB]/);
  if (at < 0) return null;
  return {
    column: at + 1,
    what: `${line[at]} is not a quotation mark of YAML, which knows the straight ones only`,
    mended: line.replace(/[\u201C-\u201F\u00AB\u00BB]/g, '"'),
  };
}

/** At the start of a key an asterisk or an exclamation mark has a meaning of its own in YAML. */
function bareGlob(line: string): ReturnType<Check> {
  const [, indent = "", glob] =
    /^(\s*)([*!&%@`?{[][^\s"':]{0,200})\s{0,8}:(?=\s|$)/.exec(line) ?? [];
  if (glob === undefined) return null;
  return {
    column: indent.length + 1,
    what: `the glob ${glob} needs quotes, because YAML gives "${glob[0]}" a meaning of its own`,
    mended: `${indent}"${glob}"${line.slice(indent.length + glob.length)}`,
  };
}

/** `"**": place: tar`: what belongs to the key needs braces, or a line of its own. */
function mappingInLine(line: string): ReturnType<Check> {
  const [, start = "", key = "", rest] =
    /^(\s*)("[^"]{0,200}"|'[^']{0,200}')\s{0,8}:\s{1,8}((?:place|region|tolerance|basis)\s{0,8}:.*)$/.exec(
      line,
    ) ?? [];
  if (rest === undefined) return null;
  return {
    column: start.length + key.length + 3,
    what: "a key follows a key on one line; put what belongs to the first in braces",
    mended: `${start}${key}: { ${rest.trim()} }`,
  };
}

/** Within braces or brackets a comma ends a value, and so cuts a region's numbers apart. */
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

/** `{place:tar}`: without a space YAML reads one word. */
function colonWithoutSpace(line: string): ReturnType<Check> {
  const found = /(?<=^|[\s{,])(place|region|tolerance|basis|file|like|set):(?=[^\s/])/.exec(
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

/** A brace that its line does not close; what is written over several lines is told by the parser. */
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
    mended: `${line.trimEnd()} ${"}".repeat(opened - closed)}`,
  };
}

/** The line with what stands in quotes blanked out, every character in its place. */
function withoutQuoted(line: string): string {
  return line.replace(/"[^"]*"|'[^']*'/g, (quoted) => "\u0000".repeat(quoted.length));
}
