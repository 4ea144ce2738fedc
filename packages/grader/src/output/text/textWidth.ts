import stringWidth from "string-width";

/** Letters of Latin script, Greek and Cyrillic, the usual punctuation, and our own marks: each is one column wide. */
const NARROW =
  /^[ -~\u00A0-\u00AC\u00AE-\u02FF\u0391-\u03A9\u03B1-\u03C9\u0410-\u044F–—‘’“”…−±≤≥▲▼]*$/;

/**
 * Columns that a text fills in a terminal. The usual text is counted by its length: the tables that tell the widths of all
 * others take longer to load than a small run takes.
 */
export function textWidth(text: string): number {
  return isNarrow(text) ? text.length : stringWidth(text);
}

/** Whether every code unit of a text is a character of one column. */
export function isNarrow(text: string): boolean {
  return NARROW.test(text);
}
