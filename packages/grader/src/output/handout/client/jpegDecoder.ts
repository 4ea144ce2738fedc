import decode, { init } from "@jsquash/jpeg/decode.js";
import { GraderError } from "../../../model/errors.ts";
import type { DecodedPixels } from "../../../picture/decodedPixels.ts";

/** Words of the decoder for a file that ends early. */
const CUT_SHORT = /premature end|truncated|end of file/i;

/**
 * The decoder of JPEG: libjpeg in WebAssembly, which gives the codes that the command's decoder gives.
 *
 * @param compiled - its WebAssembly
 */
export function jpegDecoder(
  compiled: () => Promise<WebAssembly.Module>,
): (file: Uint8Array) => Promise<DecodedPixels> {
  let words: string[] = [];
  let ready: Promise<void> | null = null;
  const start = async (): Promise<void> => {
    const module = await compiled();
    await init({
      // Its WebAssembly is given: it has nothing to look for.
      locateFile: (name: string) => name,
      printErr: (line: string) => words.push(line),
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
    words = [];
    ready ??= start();
    await ready;
    let picture: ImageData;
    try {
      picture = await decode(file as unknown as ArrayBuffer);
    } catch (cause) {
      // After it gave up, its memory is as it left it: the next picture gets a new one.
      ready = null;
      throw refusal(words, cause);
    }
    if (words.some((line) => CUT_SHORT.test(line))) throw refusal(words, null);
    const notes = words.length > 0 ? [DECODED_WITH_WARNINGS] : [];
    return { width: picture.width, height: picture.height, data: picture.data, notes };
  };
}

function refusal(words: readonly string[], cause: unknown): GraderError {
  return words.some((line) => CUT_SHORT.test(line))
    ? new GraderError(
        "truncated",
        "The picture is cut short; copy it again from the camera or card",
        { cause },
      )
    : new GraderError(
        "decode-failed",
        "The picture is damaged or of an unusual kind and cannot be decoded; export it again",
        { cause },
      );
}

const DECODED_WITH_WARNINGS = {
  code: "decoded-with-warnings",
  message: "The decoder found small faults in the file and continued; check the picture by eye.",
} as const;
