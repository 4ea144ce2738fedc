/** Unpacks bytes that were deflated and stand in the page as base64. */
export async function inflated(base64: string): Promise<Uint8Array> {
  const packed = Uint8Array.from(atob(base64), (character) => character.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate"));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}
