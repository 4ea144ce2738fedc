/** Bytes that the page carries packed by gzip, as base64. */
export async function unpacked(packed: string): Promise<Uint8Array<ArrayBuffer>> {
  const characters = atob(packed);
  const bytes = new Uint8Array(characters.length);
  for (let i = 0; i < bytes.length; i++) bytes[i] = characters.charCodeAt(i);
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}
