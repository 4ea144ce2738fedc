import type { DecodedPixels } from "../../../picture/decodedPixels.ts";

/** A decoder of one format, compiled to WebAssembly, as its package gives it. */
interface WasmCodec {
  readonly init: (options: object) => Promise<void>;
  readonly decode: (file: ArrayBuffer) => Promise<ImageData>;
}

/** Decodes a file, and has what the decoder said of it. */
type WasmDecode = (
  file: Uint8Array,
) => Promise<DecodedPixels & { readonly said: readonly string[] }>;

/** The decoder gave up. */
export class DecoderGaveUp extends Error {
  /** What it said before. */
  readonly said: readonly string[];

  constructor(said: readonly string[], cause: unknown) {
    super("The decoder gave up", { cause });
    this.said = said;
  }
}

/**
 * Starts a decoder when it is first needed, and again after it gave up on a file, since its memory is then as it left it.
 *
 * @param compiled - its WebAssembly
 * @returns a decoder that throws {@link DecoderGaveUp}
 */
export function wasmDecoder(
  { init, decode }: WasmCodec,
  compiled: () => Promise<WebAssembly.Module>,
): WasmDecode {
  let said: string[] = [];
  let ready: Promise<void> | null = null;
  const start = async (): Promise<void> => {
    const module = await compiled();
    await init({
      // Its WebAssembly is given: it has nothing to look for.
      locateFile: (name: string) => name,
      printErr: (line: string) => said.push(line),
      instantiateWasm: (
        imports: WebAssembly.Imports,
        done: (made: WebAssembly.Instance) => void,
      ) => {
        // Not at once: where there is no worker, the page itself runs this, and some browsers let no page wait for it.
        void WebAssembly.instantiate(module, imports).then(done);
        return {};
      },
    });
  };
  return async (file) => {
    said = [];
    ready ??= start();
    await ready;
    try {
      const { width, height, data } = await decode(file as unknown as ArrayBuffer);
      return { width, height, data, said };
    } catch (cause) {
      ready = null;
      throw new DecoderGaveUp(said, cause);
    }
  };
}
