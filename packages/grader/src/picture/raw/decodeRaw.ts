import { givenLimits } from "../decodeLimits.ts";
import { Held } from "../pool/workerPool.ts";
import { openRaw, unpackRaw } from "./libRaw.ts";
import { type DecodeRawOptions, type RawFrame, rawFrame, statedLevels } from "./rawFrame.ts";

export type { DecodeRawOptions, RawFrame } from "./rawFrame.ts";

/**
 * Decodes a raw file to the sensor's own values.
 *
 * Luminance follows the linear model of the DNG specification: linearised code minus black, divided by white minus the
 * largest black, balanced as shot, weighed by the camera's matrix. BaselineExposure belongs to rendering and is left
 * out. Clipping counts codes, before white balance. Nothing is turned: orientation is data.
 *
 * @param source - a path, a file URL, or bytes
 * @throws {@link GraderError} `raw-unsupported`, `raw-no-pixels`, `raw-truncated`, `raw-no-black-level`, `too-large`,
 *   `took-too-long`, `decode-failed` or `cannot-read`; an embedded preview never stands in
 * @see [DNG, chapter 5]
 */
export async function decodeRaw(
  source: string | URL | Uint8Array,
  options: DecodeRawOptions = {},
): Promise<RawFrame> {
  const limits = givenLimits(options);
  return openRaw(source, { pixels: true, limits }, (opened) => {
    const stated = statedLevels(opened);
    return unpackRaw(limits, (unpacked) => {
      const frame = rawFrame(unpacked, stated, options);
      return options.unused ? new Held(frame, options.unused) : frame;
    });
  });
}
