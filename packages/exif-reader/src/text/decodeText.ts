const UTF16_LITTLE = new TextDecoder("utf-16le");
const UTF16_BIG = new TextDecoder("utf-16be");
const UTF8 = new TextDecoder("utf-8", { fatal: true });
/** Windows-1252, which decodes every byte. */
const WESTERN = new TextDecoder("latin1");

/** Text from bytes: UTF-16 where a byte order mark says so, UTF-8 where it is valid, else Western. */
export function decodeText(bytes: Uint8Array): string {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return UTF16_LITTLE.decode(bytes);
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return UTF16_BIG.decode(bytes);
  try {
    return UTF8.decode(bytes);
  } catch {
    return WESTERN.decode(bytes);
  }
}
