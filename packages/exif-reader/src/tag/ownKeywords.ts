import { printableText } from "../text/printableText.ts";
import type { Recorded } from "./tagSource.ts";

/** The beginning of our keywords, in upper or lower case. */
export const OWN_KEYWORD: RegExp = /tonefall:/i;

/** A polygon of fifty corners fits. */
const LONGEST_KEYWORD = 1024;
const MOST_KEYWORDS = 64;

/**
 * The keywords that begin with `tonefall:`, each once; undefined where there is none.
 *
 * They are never shortened, since a shortened region would be a different region.
 */
export function ownKeywords(
  texts: readonly string[],
  from: string,
): Recorded<readonly string[]> | undefined {
  const own = texts.filter((text) => text.trimStart().search(OWN_KEYWORD) === 0);
  if (own.length === 0) return undefined;
  const value = [...new Set(own.map((text) => printableText(text, LONGEST_KEYWORD)))];
  const isAbsurd = own.some((text) => text.length > LONGEST_KEYWORD) || own.length > MOST_KEYWORDS;
  return isAbsurd ? { from, fault: "absurd" } : { from, value };
}
