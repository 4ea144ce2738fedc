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

/** Several pieces as one. */
export function joinedBytes(parts: readonly Uint8Array[]): Uint8Array<ArrayBuffer> {
  const joined = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    joined.set(part, at);
    at += part.length;
  }
  return joined;
}

/** The bytes that a text of hexadecimal digits stands for; a last lone digit is left out. */
export function bytesOfHex(digits: string): Uint8Array {
  return Uint8Array.from({ length: Math.floor(digits.length / 2) }, (_, i) =>
    Number.parseInt(digits.slice(2 * i, 2 * i + 2), 16),
  );
}

/** Bytes as hexadecimal digits. */
export function hexOf(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}
