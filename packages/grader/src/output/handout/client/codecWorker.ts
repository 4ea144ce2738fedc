import { GraderError } from "../../../model/errors.ts";

/** What a decoder makes of a file, and the buffers of it that are handed over. */
interface CodecAnswer {
  readonly value: unknown;
  readonly handed: Transferable[];
}

/** What the grader asks of a decoder's worker. */
export interface CodecRequest {
  readonly bytes: Uint8Array;
  /** The decoder's WebAssembly. */
  readonly wasm: Uint8Array;
}

/** What it answers: what it decoded, or why it could not. */
export interface Decoded {
  readonly value?: unknown;
  readonly failure?: { readonly code: string; readonly message: string };
}

/**
 * Serves one file in a worker of its own, by a port that the page hands over: pictures pass between two workers and never
 * through the page, which would stand still meanwhile. A refusal is answered by its code and message.
 */
export function codecWorker(
  decode: (bytes: Uint8Array, wasm: Uint8Array) => Promise<CodecAnswer>,
): void {
  const serve = async ({ bytes, wasm }: CodecRequest): Promise<CodecAnswer> => {
    try {
      const { value, handed } = await decode(bytes, wasm);
      return { value: { value }, handed };
    } catch (error) {
      const known = error instanceof GraderError ? error : CANNOT_DECODE;
      return { value: { failure: { code: known.code, message: known.message } }, handed: [] };
    }
  };
  const worker = globalThis as unknown as { onmessage: (event: MessageEvent) => void };
  worker.onmessage = ({ ports: [port] }) => {
    if (!port) return;
    port.onmessage = async ({ data }) => {
      const { value, handed } = await serve(data as CodecRequest);
      port.postMessage(value, handed);
    };
  };
}

/** What a student reads of a file that neither decoder nor browser can decode. */
export const CANNOT_DECODE = {
  code: "decode-failed",
  message:
    "This browser could not decode the file; hand in the file itself all the same, and tell your teacher",
};
