/** The name of a `File`; undefined for any other Blob, and for bytes. */
export function blobName(source: Blob | Uint8Array): string | undefined {
  return "name" in source && typeof source.name === "string" ? source.name : undefined;
}
