import { GraderError } from "../../../model/errors.ts";

/** What a decoder makes of a file, and the buffers of it that are handed over. */
interface CodecAnswer {
  readonly value: unknown;
  readonly handed: Transferable[];
}

/** Serves one file in a worker of its own; a refusal is answered by its code and message. */
export function codecWorker(
  decode: (bytes: Uint8Array, wasm: Uint8Array) => Promise<CodecAnswer>,
): void {
  const worker = globalThis as unknown as {
    onmessage: (event: { readonly data: { bytes: Uint8Array; wasm: Uint8Array } }) => void;
    postMessage(answer: unknown, handed: Transferable[]): void;
  };
  worker.onmessage = async ({ data: { bytes, wasm } }) => {
    try {
      const { value, handed } = await decode(bytes, wasm);
      worker.postMessage({ value }, handed);
    } catch (error) {
      const known = error instanceof GraderError ? error : CANNOT_DECODE;
      worker.postMessage({ failure: { code: known.code, message: known.message } }, []);
    }
  };
}

/** What a student reads of a file that neither decoder nor browser can decode. */
export const CANNOT_DECODE = {
  code: "decode-failed",
  message:
    "This browser could not decode the file; hand in the file itself all the same, and tell your teacher",
};
