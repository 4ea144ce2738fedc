import type { RawFrame } from "../../packages/grader/src/picture/raw/decodeRaw.ts";

/** Mean stored code of every channel, by name. */
export function channelMeans(frame: RawFrame): Record<string, number> {
  const pixels = frame.width * frame.height;
  return Object.fromEntries(
    frame.channels.map(({ name }, channel) => {
      let sum = 0;
      for (let i = 0; i < pixels; i++) sum += frame.samples[i * frame.stride + channel] as number;
      return [name, sum / pixels];
    }),
  );
}

/** A box of raster pixels: first column and row, width, height. */
export type Box = readonly [number, number, number, number];

/** Mean luminance of a box of cells (the whole frame when left out): one loop, no shortcuts. */
export function meanLuminance(
  frame: RawFrame,
  box: Box = [0, 0, frame.width, frame.height],
): number {
  const [left, top, width, height] = box;
  let sum = 0;
  for (let y = top; y < top + height; y++) {
    for (let x = left; x < left + width; x++) {
      const at = (y * frame.width + x) * frame.stride;
      for (const [channel, { luminance }] of frame.channels.entries()) {
        sum += luminance[frame.samples[at + channel] as number] as number;
      }
    }
  }
  return sum / (width * height);
}

/** Mean stored code of one channel in a box of cells. */
export function meanCode(frame: RawFrame, channel: number, box: Box): number {
  const [left, top, width, height] = box;
  let sum = 0;
  for (let y = top; y < top + height; y++) {
    for (let x = left; x < left + width; x++) {
      sum += frame.samples[(y * frame.width + x) * frame.stride + channel] as number;
    }
  }
  return sum / (width * height);
}

/** Samples of every channel at or above its clip code, by name. */
export function clippedCounts(frame: RawFrame): Record<string, number> {
  const pixels = frame.width * frame.height;
  return Object.fromEntries(
    frame.channels.map(({ name, clipCode }, channel) => {
      let count = 0;
      for (let i = 0; i < pixels; i++) {
        if ((frame.samples[i * frame.stride + channel] as number) >= clipCode) count++;
      }
      return [name, count];
    }),
  );
}
