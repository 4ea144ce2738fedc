import { addTones } from "./addTones.ts";
import type { CountingKernel } from "./countingKernel.ts";
import type { EightBitRgb, PixelCounter } from "./eightBitRgb.ts";
import type { RunningTally } from "./runningTally.ts";

/**
 * The count of 8-bit red, green, blue in WebAssembly, fed in pieces that stay in the processor's cache.
 *
 * @param step - 1 counts the tone of every pixel, n that of every nth in reading order. Pixels at the ends of the
 *   scale are all counted either way
 */
export function wasmRgbCounter(
  kernel: CountingKernel,
  { samples }: EightBitRgb,
  tally: RunningTally,
  step: number,
): PixelCounter {
  const { buffer } = kernel.memory;
  const most = kernel.INPUT_PIXELS.value;
  const input = new Uint8Array(buffer, kernel.INPUT.value, 3 * most);
  const tables = new Float64Array(buffer, kernel.TABLES.value, 3 * 256);
  let known = true;
  for (const [channel, table] of tally.luminance.entries()) {
    known &&= table.every((light, code) => tables[256 * channel + code] === light);
    tables.set(table, 256 * channel);
  }
  // Frames of one folder mostly share their tables.
  if (!known) kernel.pairTables();
  kernel.clear();

  const count = (from: number, to: number): void => {
    for (let at = from; at < to; at += most) {
      const end = Math.min(to, at + most);
      input.set(samples.subarray(3 * at, 3 * end));
      // The lattice is the raster's, whatever the region: parts of a frame add up to the whole.
      kernel.countPixels(end - at, (step - (at % step)) % step, step);
    }
    tally.pixels += to - from;
  };

  const finish = (): void => {
    addTones(kernel, tally);
    tally.clippedPixels += kernel.clipped.value;
    tally.crushedPixels += kernel.crushed.value;
    const byChannel = [kernel.clippedRed, kernel.clippedGreen, kernel.clippedBlue];
    for (const [channel, { value }] of byChannel.entries()) {
      tally.clippedByChannel[channel] = (tally.clippedByChannel[channel] as number) + value;
    }
  };
  return { multiple: 1, count, finish };
}
