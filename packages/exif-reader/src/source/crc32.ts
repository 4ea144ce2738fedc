/** The remainders of all bytes, by the reversed polynomial of ISO 3309. */
const TABLE: Uint32Array = Uint32Array.from({ length: 256 }, (_, byte) => {
  let remainder = byte;
  for (let bit = 0; bit < 8; bit++) {
    remainder = (remainder >>> 1) ^ (remainder & 1 ? 0xedb88320 : 0);
  }
  return remainder;
});

/**
 * The checksum of a PNG's chunks.
 *
 * Our own: Node has one that a browser has not, and the language has none.
 *
 * @see [PNG] third edition, 5.5 (CRC algorithm) and annex D
 */
export function crc32(bytes: Uint8Array): number {
  let sum = 0xffffffff;
  for (const byte of bytes) sum = (TABLE[(sum ^ byte) & 0xff] as number) ^ (sum >>> 8);
  return (sum ^ 0xffffffff) >>> 0;
}
