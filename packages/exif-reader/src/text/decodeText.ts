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

/** Text from bytes: UTF-16 where a byte order mark says so, UTF-8 where it is valid, else Western. */
export function decodeText(bytes: Uint8Array): string {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return UTF16_LITTLE.decode(bytes);
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return UTF16_BIG.decode(bytes);
  try {
    return UTF8.decode(bytes);
  } catch {
    return western(bytes);
  }
}
