import { GraderError, NOT_A_PICTURE } from "../../model/errors.ts";
import type { DecodeLimits } from "../decodeLimits.ts";
import { tookTooLong } from "../tooMuch.ts";

/** The decoder's words are its own and may hold paths; ours say what to do, and keep theirs as the cause. */
export function decodeError(cause: unknown, limits: Required<DecodeLimits>): GraderError {
  if (cause instanceof GraderError) return cause;
  const words = String((cause as Error).message);
  if (/timeout/i.test(words)) return tookTooLong(limits.timeLimitSeconds, cause);
  const [code, message] = explain(words);
  return new GraderError(code, message, { cause });
}

function explain(words: string): [GraderError["code"], string] {
  if (/unsupported image format|contains no image/i.test(words)) {
    return ["not-a-picture", NOT_A_PICTURE];
  }
  if (
    /premature end|truncated|libpng read error|bad seek|end of file|unexpected end/i.test(words)
  ) {
    return ["truncated", "The picture is cut short; copy it again from the camera or card"];
  }
  const [, compression] = /\b(\w{1,20}) compression support is not configured/i.exec(words) ?? [];
  if (compression !== undefined) {
    return [
      "decode-failed",
      `The picture is compressed by ${compression}, which Tonefall does not read; export it with LZW, ZIP or no compression`,
    ];
  }
  return [
    "decode-failed",
    "The picture is damaged or of an unusual kind and cannot be decoded; export it again",
  ];
}
