/** Bytes that the page carries packed by gzip, as base64. */
export async function unpacked(packed: string): Promise<Uint8Array<ArrayBuffer>> {
  const bytes = Uint8Array.from(atob(packed), (character) => character.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}
