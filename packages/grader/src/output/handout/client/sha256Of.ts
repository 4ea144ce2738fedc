import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex } from "@noble/hashes/utils.js";

/** SHA-256 of bytes, hexadecimal: by the browser beside other work, where the page came in a way that it trusts. */
export async function sha256Of(bytes: Uint8Array<ArrayBuffer>): Promise<string> {
  const { subtle } = globalThis.crypto ?? {};
  return bytesToHex(subtle ? new Uint8Array(await subtle.digest("SHA-256", bytes)) : sha256(bytes));
}
