/** The encoding of a text that people write, by the mark at its beginning; UTF-8 where there is none. */
export function encodingOf([first, second]: Uint8Array): string {
  if (first === 0xff && second === 0xfe) return "utf-16le";
  return first === 0xfe && second === 0xff ? "utf-16be" : "utf-8";
}
