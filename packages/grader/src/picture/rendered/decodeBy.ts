import type { Metadata } from "sharp";
import type { DecodeLimits } from "../decodeLimits.ts";
import { decoderInput } from "../source/decoderInput.ts";
import type { PictureFile } from "../source/openSource.ts";
import { tooLarge } from "../tooMuch.ts";
import { type DecodePlan, planDecode, type RenderedOptions } from "./decodePlan.ts";
import type { Decoder, Pixels } from "./decoders.ts";

/** What a picture is, how it was decoded, and its pixels. */
export interface Decoded extends Pixels {
  readonly metadata: Metadata;
  readonly plan: DecodePlan;
}

/**
 * Decodes a picture once, as a decoder does it.
 *
 * @throws what the decoder throws, and {@link GraderError} `too-large` or `unsupported-colour`
 */
export async function decodeBy(
  decoder: Decoder,
  file: PictureFile,
  stated: RenderedOptions,
  limits: Required<DecodeLimits>,
): Promise<Decoded> {
  const { input, done } = await decoderInput(file.input);
  const metadata = await decoder.metadata(input, limits);
  if (metadata.width * metadata.height > 1e6 * limits.maxMegapixels) {
    throw tooLarge(limits.maxMegapixels);
  }
  const plan = await planDecode(file, metadata, stated);
  const decoded = await decoder.pixels(input, plan, limits);
  const isGrey = plan.meaning.curves.length === 1;
  const pixels = isGrey && decoded.info.channels === 4 ? greyAndAlpha(decoded) : decoded;
  done();
  return { metadata, plan, ...pixels };
}

/** Grey and alpha of a picture that was decoded as red, green, blue and alpha. */
function greyAndAlpha({ data, info, notes }: Pixels): Pixels {
  const pixels = info.width * info.height;
  const narrow = Buffer.alloc(2 * pixels);
  for (let i = 0; i < pixels; i++) {
    narrow[2 * i] = data[4 * i] as number;
    narrow[2 * i + 1] = data[4 * i + 3] as number;
  }
  return { data: narrow, info: { ...info, channels: 2 }, notes };
}
