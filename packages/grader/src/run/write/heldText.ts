import { beginsSlip } from "../../model/slip.ts";

/** Kinds of files that Tonefall writes: texts, and the pictures that it makes. A file of one kind may give way to a newer one of the same kind. */
export type WrittenKind =
  | ("table" | "json" | "ndjson" | "csv" | "markdown" | "html")
  | ("junit" | "tap" | "github" | "sarif")
  | ("yaml" | "set" | "brief" | "class" | "journal" | "marked" | "ledger" | "sheet")
  | "made-frame";

/** What the beginning of a text shows it to be. */
export interface HeldText {
  /** For people, with its article: `a brief file`. */
  readonly what: string;
  /** The kind that may replace it; null for what no output replaces unasked. */
  readonly kind: WrittenKind | null;
  /** Whether it is what a person asks for or says, which nothing replaces, whatever is forced. */
  readonly isPersons?: true;
}

interface Signature extends HeldText {
  readonly matches: (text: string) => boolean;
}

/**
 * The first that matches wins, so what took people work comes before results. Every form of result must be recognised by
 * its beginning, that of older versions too; `test/overwriting.test.ts` writes each of them twice.
 */
const SIGNATURES: readonly Signature[] = [
  { what: "a record of marking", kind: "marked", matches: begins(/^\{"tonefall":"marked"/) },
  { what: "a journal", kind: "journal", matches: begins(/^\{"tonefall":"journal"/) },
  { what: "a slip", kind: null, isPersons: true, matches: beginsSlip },
  { what: "a kit file", kind: "yaml", matches: begins(/^schemaVersion: \d+\ncamera:/) },
  {
    what: "a kit file",
    kind: null,
    matches: begins(/^\s*\{\s*"schemaVersion"\s*:\s*\d+\s*,\s*"camera"/),
  },
  result("json", begins(/^\{\n {2}"schemaVersion": \d+,\n/)),
  result("ndjson", begins(/^\{"schemaVersion":\d+,"/)),
  result(
    "csv",
    begins(
      /^\uFEFF?(?:file,(?:basis|format),|student,exercise,level,|tone,title,from_stops,|(?:run,)?folder,frame,(?:verdict,error,bound,|pattern,recorded,reading,|aperture_f,shutter,iso_speed,))/,
    ),
  ),
  result(
    "markdown",
    begins(/^(?:\| (?:Frame|Tone) \| |### (?:All claims hold|\d+ claims? do(?:es)? not hold)\n)/),
  ),
  result("html", isPage),
  result("junit", (text) => text.startsWith("<?xml ") && hasLine(text, /^<testsuites>$/)),
  result("tap", begins(/^TAP version 14\n1\.\.\d/)),
  result("github", begins(/^::(?:error|warning|notice) /)),
  result("sarif", begins(/^\{\n {2}"\$schema": "https:\/\/json\.schemastore\.org\/sarif-/)),
  result("csv", isWideGradebook),
  result("sheet", begins(/^Tonefall: \S/)),
  result("table", (text) => hasLine(text, TABLE_HEAD)),
  { what: "a count of the cache", kind: "ledger", matches: begins(/^(?:\d+\n)+$/) },
  { what: "a set file", kind: null, isPersons: true, matches: hasKey("set") },
  { what: "a class file", kind: null, isPersons: true, matches: hasKey("class") },
  {
    what: "a brief file",
    kind: null,
    isPersons: true,
    matches: begins(/[\s{,]["']?(?:place|region|tolerance|basis)["']?:/),
  },
];

/** What a text holds, by its beginning. */
export function heldText(text: string): HeldText {
  return SIGNATURES.find(({ matches }) => matches(text)) ?? { what: "a text", kind: null };
}

/** The first two titles of each table; a table's head stands within its first lines. */
const TABLE_HEAD =
  /^(?:Grades in words for the (?:student|teacher)|Frame {2,}(?:Settings|Placed|Fell|Given|Card)|Claim {2,}Expected|Tone {2,}Placed|Shot {2,}Residual|Student {2,}Task|Exercise {2,}Students {2,}Missing|Nothing has been handed in yet\.$|No claim to show\.$)/;

const FIRST_LINES = 10;

function result(kind: WrittenKind, matches: Signature["matches"]): Signature {
  return { what: `a result as ${kind}`, kind, matches };
}

function begins(pattern: RegExp): Signature["matches"] {
  return (text) => pattern.test(text);
}

function hasLine(text: string, pattern: RegExp): boolean {
  return text.split("\n", FIRST_LINES).some((line) => pattern.test(line));
}

/** Whether a mapping, YAML or JSON, has a key at its left edge. */
function hasKey(key: string): Signature["matches"] {
  const spelt = [key, `"${key}"`, `'${key}'`];
  return (text) =>
    text.split("\n").some((line) => {
      const start = line.replace(/^[\s{]+/, "");
      return spelt.some((name) => start.startsWith(name) && /^\s*:/.test(start.slice(name.length)));
    });
}

/** A row a student, with the exercises across. */
function isWideGradebook(text: string): boolean {
  const [head = ""] = text.split("\n", 1);
  return /^\uFEFF?student,/.test(head) && head.includes("_error_stops");
}

const PAGE_MARKS = [
  '<meta name="generator" content="Tonefall">',
  " - Tonefall</title>",
  "<title>Response of ",
];

function isPage(text: string): boolean {
  return text.startsWith("<!doctype html>") && PAGE_MARKS.some((mark) => text.includes(mark));
}
