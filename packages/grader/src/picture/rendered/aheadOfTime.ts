/**
 * Begins to decode a rendered picture that will be asked for, while the code that measures it loads.
 *
 * @param path - of a JPEG; whatever is wrong with it shows when it is asked for
 * @returns when the decoder is at work in its own thread
 */
export async function decodeAhead(path: string): Promise<void> {
  const { beginDecoding } = await import("./decodeRendered.ts");
  await beginDecoding(path);
}
