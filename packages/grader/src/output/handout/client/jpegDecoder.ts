import decode, { init } from "@jsquash/jpeg/decode.js";
import { GraderError } from "../../../model/errors.ts";
import type { DecodedPixels } from "../../../picture/decodedPixels.ts";
import { DecoderGaveUp, wasmDecoder } from "./wasmDecoder.ts";

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
  const decoded = wasmDecoder({ init, decode }, compiled);
  return async (file) => {
    try {
      const { said, ...picture } = await decoded(file);
      if (said.some((line) => CUT_SHORT.test(line))) throw new DecoderGaveUp(said, null);
      return { ...picture, notes: said.length > 0 ? [DECODED_WITH_WARNINGS] : [] };
    } catch (cause) {
      throw refusal(cause instanceof DecoderGaveUp ? cause.said : [], cause);
    }
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
