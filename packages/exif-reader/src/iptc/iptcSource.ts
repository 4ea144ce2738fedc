import { viewOf } from "../source/bytes.ts";
import { ownKeywords } from "../tag/ownKeywords.ts";
import type { Recorded, TagSource } from "../tag/tagSource.ts";
import { decodeText } from "../text/decodeText.ts";

const DATA_SET_MARK = 0x1c;
const APPLICATION_RECORD = 2;
const KEYWORDS = 25;
/** The longest keyword that the standard allows, in bytes. */
const LONGEST_KEYWORD_BYTES = 64;
const FROM = "IPTC Keywords";

/**
 * The facts in IPTC records of the older form, which are keywords alone; null where there is no record.
 *
 * A keyword as long as the standard allows may have been cut short, and a region cut short is another region, so such a
 * keyword is refused.
 *
 * @see [IIM, data set 2:25]
 */
export function iptcSource(records: readonly Uint8Array[]): TagSource | null {
  if (records.length === 0) return null;
  return {
    numbers: () => undefined,
    text: () => undefined,
    position: () => undefined,
    regions: () => undefined,
    keywords(): Recorded<readonly string[]> | undefined {
      const keywords = records.flatMap(keywordsOf);
      const own = ownKeywords(keywords.map(decodeText), FROM);
      const mayBeCut = keywords.some(
        (bytes) =>
          bytes.length === LONGEST_KEYWORD_BYTES &&
          ownKeywords([decodeText(bytes)], FROM) !== undefined,
      );
      return own && mayBeCut ? { from: FROM, fault: "malformed" } : own;
    },
  };
}

/** Each data set is a mark, its record and number, a length of two bytes and its data. */
function keywordsOf(record: Uint8Array): Uint8Array[] {
  const view = viewOf(record);
  const keywords: Uint8Array[] = [];
  let at = 0;
  while (at + 5 <= record.length && record[at] === DATA_SET_MARK) {
    const length = view.getUint16(at + 3);
    const end = at + 5 + length;
    // The highest bit marks an extended length, which no keyword has.
    if (length >= 0x8000 || end > record.length) break;
    if (record[at + 1] === APPLICATION_RECORD && record[at + 2] === KEYWORDS) {
      keywords.push(record.subarray(at + 5, end));
    }
    at = end;
  }
  return keywords;
}
