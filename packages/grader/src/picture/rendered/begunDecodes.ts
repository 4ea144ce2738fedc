import { resolve as absolute } from "node:path";
import { isDeepStrictEqual } from "node:util";
import { DEFAULT_LIMITS, type DecodeLimits } from "../decodeLimits.ts";
import { DECODER_TURNS } from "../pool/decoderTurns.ts";
import { openSource, type PictureFile } from "../source/openSource.ts";
import { type Decoded, decodeBy } from "./decodeBy.ts";
import { type DecodePlan, planDecode, type RenderedOptions } from "./decodePlan.ts";
import { type Decoder, STRICT } from "./decoders.ts";
import { timeKeeper } from "./timeKeeper.ts";

/** What is assumed of a picture whose metadata nobody has read. */
const UNREAD: RenderedOptions = { orientation: 1, colourSpace: null, quick: false, gamma: null };

/** Decodes that began before anybody asked for them, by absolute path. */
const begun = new Map<string, Promise<Decoded>>();

/** Pictures whose decodes begin when those before them have ended and been asked for. */
const following: string[] = [];

/**
 * Begins to decode pictures that will be asked for, while the code that measures them loads. Each is given out once.
 *
 * @param paths - of pictures of the rendered formats, in the order of the run; what is wrong with one shows when it is asked
 *   for
 * @param atOnce - how many are decoded at once; the others follow
 * @returns when the decoders are at work in their own threads
 */
export async function beginDecodings(paths: readonly string[], atOnce: number): Promise<void> {
  following.push(...paths.slice(atOnce));
  await Promise.all(paths.slice(0, atOnce).map(beginDecoding));
}

/** Begins to decode one picture; returns when the decoder is at work. */
async function beginDecoding(path: string): Promise<void> {
  const atWork = new Promise<void>((resolve) => {
    const telling: Decoder = {
      ...STRICT,
      pixels: (...asked) => {
        const pixels = STRICT.pixels(...asked);
        resolve();
        return pixels;
      },
    };
    const decoding = openSource(path).then((file) => {
      const inTime = timeKeeper(DEFAULT_LIMITS);
      return DECODER_TURNS.beside(() =>
        inTime(() => decodeBy(telling, file, UNREAD, DEFAULT_LIMITS)),
      );
    });
    begun.set(absolute(path), decoding);
    decoding.catch(() => resolve());
  });
  await atWork;
}

/**
 * The decode that has begun for a file, where it was made as it is wanted now.
 *
 * @throws what a strict decode throws
 */
export async function takeBegun(
  file: PictureFile,
  stated: RenderedOptions,
  limits: Required<DecodeLimits>,
): Promise<Decoded | null> {
  if (begun.size === 0 || typeof file.input !== "string") return null;
  const path = absolute(file.input);
  const decoding = begun.get(path);
  if (!decoding) return null;
  begun.delete(path);
  const { timeLimitSeconds, maxMegapixels } = limits;
  if (!isDeepStrictEqual({ timeLimitSeconds, maxMegapixels }, DEFAULT_LIMITS)) return null;
  const decoded = await decoding.finally(beginFollowing);
  const plan = await planDecode(file, decoded.metadata, stated);
  return isDeepStrictEqual(pixelsOf(plan), pixelsOf(decoded.plan)) ? { ...decoded, plan } : null;
}

/** Keeps the decoder at work while this thread counts what it has just decoded. */
async function beginFollowing(): Promise<void> {
  const next = following.shift();
  if (next !== undefined) await beginDecoding(next);
}

/** What the pixels depend on in a plan. */
function pixelsOf({ space, depth, meaning, quickFrom }: DecodePlan): unknown {
  const converted = meaning.colour.from === "converted";
  return { space, depth, quickFrom, converted, curves: meaning.curves.length };
}
