import { viewOf } from "../source/bytes.ts";

const UTF16_LITTLE = new TextDecoder("utf-16le");
const UTF16_BIG = new TextDecoder("utf-16be");
const UTF8 = new TextDecoder("utf-8", { fatal: true });

/** What Windows-1252 has from 0x80 to 0x9F; the five codes that it leaves undefined map to themselves. [ENCODING] */
const FROM_0X80 = "€\x81‚ƒ„…†‡ˆ‰Š‹Œ\x8DŽ\x8F\x90‘’“”•–—˜™š›œ\x9DžŸ";

/** Windows-1252, which decodes every byte. JavaScript engines disagree on the table behind this name. */
function western(bytes: Uint8Array): string {
  let text = "";
  for (const byte of bytes) text += FROM_0X80[byte - 0x80] ?? String.fromCharCode(byte);
  return text;
}

/**
 * Text from bytes: UTF-16 where a byte order mark says so, UTF-8 where it is valid, else Western.
 *
 * XML in UTF-16 or UTF-32 is known by its first `<` as well: a packet of XMP has its mark further on. [XMP, embedding]
 */
export function decodeText(bytes: Uint8Array): string {
  if (hasUtf16Mark(bytes)) return (bytes[0] === 0xff ? UTF16_LITTLE : UTF16_BIG).decode(bytes);
  const [first, second, third, fourth] = bytes;
  if (first === LESS_THAN && second === 0) {
    return third === 0 && fourth === 0 ? fromUtf32(bytes, true) : UTF16_LITTLE.decode(bytes);
  }
  if (first === 0 && second === LESS_THAN) return UTF16_BIG.decode(bytes);
  if (first === 0 && second === 0 && third === 0 && fourth === LESS_THAN) {
    return fromUtf32(bytes, false);
  }
  try {
    return UTF8.decode(bytes);
  } catch {
    return western(bytes);
  }
}

/** Whether text starts with the byte order mark of UTF-16. */
export function hasUtf16Mark([first, second]: Uint8Array): boolean {
  return (first === 0xff && second === 0xfe) || (first === 0xfe && second === 0xff);
}

const LESS_THAN = 0x3c;
const LAST_CHARACTER = 0x10ffff;
const REPLACEMENT = 0xfffd;

function fromUtf32(bytes: Uint8Array, littleEndian: boolean): string {
  const view = viewOf(bytes);
  let text = "";
  for (let at = 0; at + 4 <= bytes.length; at += 4) {
    const code = view.getUint32(at, littleEndian);
    text += String.fromCodePoint(code > LAST_CHARACTER ? REPLACEMENT : code);
  }
  return text;
}
