import { exp2 } from "@tonefall/tone-core";
import { GraderError } from "../../model/errors.ts";
import { DEFAULT_LIMITS, type DecodeLimits } from "../decodeLimits.ts";
import type { Frame } from "../frame.ts";
import { DECODER_TURNS } from "../pool/decoderTurns.ts";
import { renderedFrame } from "../renderedFrame.ts";
import type { PictureFile } from "../source/openSource.ts";
import { takeBegun } from "./begunDecodes.ts";
import { type Decoded, decodeBy } from "./decodeBy.ts";
import type { RenderedOptions } from "./decodePlan.ts";
import { type Decoder, STRICT, TOLERANT } from "./decoders.ts";
import { timeKeeper } from "./timeKeeper.ts";

/**
 * Decodes a JPEG, TIFF, PNG, WebP or AVIF picture in full resolution, keeping its stored codes.
 *
 * No colour conversion is made where the file's profile is curves and colorants: the codes stay the file's own, so that
 * clipping is counted on them, and tables give them light. Where a profile needs an engine, or the picture is CMYK or
 * Lab, it is converted to sRGB first and the frame says so.
 *
 * @param file - an opened picture file
 * @param stated - what Exif says of the pixels, and whether a part of them will do
 * @param given - most pixels, and the time it may take
 * @throws {@link GraderError} `not-a-picture`, `truncated`, `too-large`, `took-too-long`, `unsupported-colour` or
 *   `decode-failed`
 */
export async function decodeRendered(
  file: PictureFile,
  stated: RenderedOptions,
  given: DecodeLimits = {},
): Promise<Frame> {
  const limits = { ...DEFAULT_LIMITS, ...given };
  const { data, info, metadata, plan, notes } = await decodeInTurn(file, stated, limits);
  const sixteen = plan.depth === "ushort";
  const samples = sixteen
    ? new Uint16Array(data.buffer, data.byteOffset, data.length / 2)
    : new Uint8Array(data.buffer, data.byteOffset, data.length);

  // AVIF of 10 or 12 bits arrives in the upper bits of 16: its full scale is below 65535.
  const bits = metadata.format === "heif" ? (metadata.bitsPerSample ?? 8) : sixteen ? 16 : 8;
  const step = sixteen ? exp2(16 - bits) : 1;
  return renderedFrame({
    width: info.width,
    height: info.height,
    samples,
    stride: info.channels,
    bits,
    fullScale: (exp2(bits) - 1) * step,
    // The container of a HEIF picture turns it while it is decoded.
    orientation: metadata.format === "heif" ? 1 : stated.orientation,
    meaning: plan.meaning,
    notes: [...plan.notes, ...notes],
    ...(plan.quickFrom ? { sampledFrom: plan.quickFrom } : {}),
  });
}

/**
 * Decodes beside other pictures. Where the decoder refuses, its words may be another picture's, so the picture is decoded
 * once more alone: the same file gets the same answer whatever else is being decoded.
 */
async function decodeInTurn(
  file: PictureFile,
  stated: RenderedOptions,
  limits: Required<DecodeLimits>,
): Promise<Decoded> {
  const inTime = timeKeeper(limits);
  const decode = (decoder: Decoder) => inTime(() => decodeBy(decoder, file, stated, limits));
  try {
    return (
      (await takeBegun(file, stated, limits)) ?? (await DECODER_TURNS.beside(() => decode(STRICT)))
    );
  } catch (error) {
    if (error instanceof GraderError) throw error;
    return DECODER_TURNS.alone(() => decode(TOLERANT));
  }
}
