import type { ToneChannel } from "@tonefall/tone-core";
import { log2 } from "@tonefall/tone-core";
import type { ChannelHeadroom, Headroom } from "../../model/sensor.ts";

/**
 * Room above a region before the first channel clips, on the sensor's own values.
 *
 * @param histograms - counts by code, one a channel, as `codeCounts` gives them
 * @param channels - the raster's channels; their clip and crush codes are white and black
 * @param options.share - share of a channel's samples that may clip, in [0, 1): 0 measures the brightest sample
 *
 * @example
 * ```ts
 * headroom([histogram], [{ name: "green", luminance, crushCode: 512, clipCode: 16383 }]).stops;
 * ```
 */
export function headroom(
  histograms: readonly Uint32Array[],
  channels: readonly Pick<ToneChannel, "name" | "clipCode" | "crushCode">[],
  options: { readonly share?: number } = {},
): Headroom {
  const { share = 0 } = options;
  const rooms = channels.map(({ name, clipCode, crushCode }, i): ChannelHeadroom => {
    const bright = codeBelowShare(histograms[i] as Uint32Array, share) - crushCode;
    const white = clipCode - crushCode;
    return {
      channel: name,
      stops: bright > 0 ? Math.max(0, log2(white / bright)) : null,
    };
  });
  const [first] = rooms
    .filter((room): room is ChannelHeadroom & { stops: number } => room.stops !== null)
    .sort((a, b) => a.stops - b.stops);
  return { channels: rooms, limitedBy: first?.channel ?? null, stops: first?.stops ?? null };
}

/** The highest code with more than that share of the samples at or above it. */
function codeBelowShare(histogram: Uint32Array, share: number): number {
  const allowed = share === 0 ? 0 : share * samplesIn(histogram);
  let above = 0;
  for (let code = histogram.length - 1; code >= 0; code--) {
    above += histogram[code] as number;
    if (above > allowed) return code;
  }
  return 0;
}

/** A loop: a callback for each of 65,536 codes takes ten times as long. */
function samplesIn(histogram: Uint32Array): number {
  let samples = 0;
  for (let code = 0; code < histogram.length; code++) samples += histogram[code] as number;
  return samples;
}
