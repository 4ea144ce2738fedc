/** Whether the bytes from `at` on spell an ASCII text. */
export function startsWith(bytes: Uint8Array, text: string, at = 0): boolean {
  for (let index = 0; index < text.length; index++) {
    if (bytes[at + index] !== text.charCodeAt(index)) return false;
  }
  return true;
}

/** Bytes read as Latin-1, for names and signatures. */
export function latin1(bytes: Uint8Array, from = 0, to: number = bytes.length): string {
  return String.fromCharCode(...bytes.subarray(from, to));
}

/** A view that reads the numbers in these bytes. */
export function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}
