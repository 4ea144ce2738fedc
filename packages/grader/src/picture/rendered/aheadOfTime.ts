/**
 * Begins to decode rendered pictures that will be asked for, while the code that measures them loads.
 *
 * @param paths - of JPEGs, in the order of the run; whatever is wrong with one shows when it is asked for
 * @param atOnce - how many are decoded at once; each of the others begins when one before it has ended and been asked for
 * @returns when the decoders are at work in their own threads
 */
export async function decodeAhead(paths: readonly string[], atOnce: number): Promise<void> {
  const { beginDecodings } = await import("./begunDecodes.ts");
  await beginDecodings(paths, atOnce);
}
