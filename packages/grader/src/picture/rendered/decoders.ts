import sharp, { type Metadata, type Sharp } from "sharp";
import type { Note } from "../../model/note.ts";
import type { DecodeLimits } from "../decodeLimits.ts";
import type { DecoderInput } from "../source/decoderInput.ts";
import { decodeError } from "./decodeError.ts";
import type { DecodePlan } from "./decodePlan.ts";

// Frames are decoded once and side by side: a cache keeps what is never asked for again, and threads within one decode
// only get in the way of the other frames.
sharp.cache(false);
sharp.concurrency(1);

/** Every so many-th pixel of a quick decode: odd, so that every place in a JPEG's blocks is visited. */
const QUICK_STEP = 3;

/** Decoded pixels, and what the decoder had to say of them. */
export interface Pixels {
  readonly data: Buffer;
  readonly info: { readonly width: number; readonly height: number; readonly channels: number };
  readonly notes: readonly Note[];
}

/** The steps of a decode that ask sharp. */
export interface Decoder {
  metadata(input: DecoderInput["input"], limits: Required<DecodeLimits>): Promise<Metadata>;
  pixels(
    input: DecoderInput["input"],
    plan: DecodePlan,
    limits: Required<DecodeLimits>,
  ): Promise<Pixels>;
}

/** Accepts no fault, and throws sharp's own errors. */
export const STRICT: Decoder = {
  metadata: (input) => sharp(input, { limitInputPixels: false }).metadata(),
  pixels: async (input, plan, limits) => ({
    ...(await decodeAt(input, plan, limits, "warning")),
    notes: [],
  }),
};

/**
 * Explains a fault in our own terms, or accepts it with a note where sharp only warns of it. Use it while no other
 * decode runs, because it reads sharp's messages.
 */
export const TOLERANT: Decoder = {
  metadata: async (input, limits) => {
    try {
      return await STRICT.metadata(input, limits);
    } catch (error) {
      throw decodeError(error, limits);
    }
  },
  pixels: async (input, plan, limits) => {
    try {
      return await STRICT.pixels(input, plan, limits);
    } catch (strict) {
      const error = decodeError(strict, limits);
      if (error.code !== "decode-failed") throw error;
      try {
        return {
          ...(await decodeAt(input, plan, limits, "error")),
          notes: [DECODED_WITH_WARNINGS],
        };
      } catch {
        throw error;
      }
    }
  },
};

const DECODED_WITH_WARNINGS: Note = {
  code: "decoded-with-warnings",
  message: "The decoder found small faults in the file and continued; check the picture by eye.",
};

function decodeAt(
  input: DecoderInput["input"],
  { space, depth, meaning, quickFrom }: DecodePlan,
  { timeLimitSeconds }: Required<DecodeLimits>,
  failOn: "warning" | "error",
): Promise<Omit<Pixels, "notes">> {
  const picture = sharp(input, {
    failOn,
    sequentialRead: true,
    ignoreIcc: meaning.colour.from !== "converted",
    // Looked at before, by our own limit.
    limitInputPixels: false,
  });
  return (
    (quickFrom ? everyThirdPixel(picture, quickFrom) : picture)
      // The decoder takes whole seconds, at most an hour; `timeKeeper` keeps the rest.
      .timeout({ seconds: Math.min(Math.ceil(timeLimitSeconds), 3600) })
      .toColourspace(space)
      .raw({ depth })
      .toBuffer({ resolveWithObject: true })
  );
}

/**
 * Picks pixels and averages none: codes are not light, and a mean of them loses what is clipped. To be cut comes first, or
 * the decoder would shrink, and so average, while it reads.
 */
function everyThirdPixel(
  picture: Sharp,
  from: { readonly width: number; readonly height: number },
): Sharp {
  const width = Math.floor(from.width / QUICK_STEP);
  const height = Math.floor(from.height / QUICK_STEP);
  return picture
    .extract({ left: 0, top: 0, width: width * QUICK_STEP, height: height * QUICK_STEP })
    .resize(width, height, { kernel: "nearest", fit: "fill", fastShrinkOnLoad: false });
}
