import { exp2 } from "../exact/exactMath.ts";
import type { EightBitRgb, PixelCounter } from "./eightBitRgb.ts";
import type { RunningTally } from "./runningTally.ts";

/** Luminance sums are kept in two halves of 32 bits; after this many groups of four pixels they are carried over. */
const GROUPS_PER_CARRY = 1 << 13;
const LOW_BITS = 15;
const LOW_MASK = (1 << LOW_BITS) - 1;

/**
 * The count of 8-bit red, green, blue in JavaScript: where WebAssembly may not run, and what `wasmRgbCounter` is tested
 * against. Four pixels (three words) at a time.
 *
 * Two things make it fast: tables of pairs of channels, so a pixel costs two reads instead of three, and one set of bins
 * for each of the four pixels, so neighbours of one tone do not wait for each other's count. Pixels at the ends of the
 * scale are seldom, so a group that holds one is looked at again, pixel by pixel.
 */
export function plainRgbCounter({ samples }: EightBitRgb, tally: RunningTally): PixelCounter {
  const words = new Int32Array(samples.buffer, samples.byteOffset, samples.length >> 2);
  const [red, green, blue] = tally.luminance as [Int32Array, Int32Array, Int32Array];
  const redGreen = pairTable(red, green);
  const greenBlue = pairTable(green, blue);
  const banks = [0, 1, 2, 3].map(() => new Int32Array(tally.bins.length)) as Banks;

  const count = (from: number, to: number): void => {
    const stop = (to / 4) * 3;
    for (let piece = (from / 4) * 3; piece < stop; piece += GROUPS_PER_CARRY * 3) {
      tally.sum += countGroups(piece, Math.min(stop, piece + GROUPS_PER_CARRY * 3));
    }
    tally.pixels += to - from;
    tally.tonedPixels += to - from;
  };

  const countGroups = (start: number, stop: number): number => {
    const [bins0, bins1, bins2, bins3] = banks;
    let high = 0;
    let low = 0;
    for (let i = start; i < stop; i += 3) {
      const a = words[i] as number;
      const b = words[i + 1] as number;
      const c = words[i + 2] as number;
      const y0 = ((redGreen[a & 0xffff] as number) + (blue[(a >>> 16) & 0xff] as number)) | 0;
      const y1 = ((red[a >>> 24] as number) + (greenBlue[b & 0xffff] as number)) | 0;
      const y2 = ((redGreen[b >>> 16] as number) + (blue[c & 0xff] as number)) | 0;
      const y3 = ((red[(c >>> 8) & 0xff] as number) + (greenBlue[c >>> 16] as number)) | 0;
      high = (high + (y0 >> LOW_BITS) + (y1 >> LOW_BITS) + (y2 >> LOW_BITS) + (y3 >> LOW_BITS)) | 0;
      low = (low + (y0 & LOW_MASK) + (y1 & LOW_MASK) + (y2 & LOW_MASK) + (y3 & LOW_MASK)) | 0;
      // binOf, written out for luminance above zero; at zero the index runs below 0 and is caught below.
      const zeros0 = Math.clz32(y0);
      const zeros1 = Math.clz32(y1);
      const zeros2 = Math.clz32(y2);
      const zeros3 = Math.clz32(y3);
      const bin0 = (((31 - zeros0) << 9) + ((y0 << zeros0) >>> 22) - 511) | 0;
      const bin1 = (((31 - zeros1) << 9) + ((y1 << zeros1) >>> 22) - 511) | 0;
      const bin2 = (((31 - zeros2) << 9) + ((y2 << zeros2) >>> 22) - 511) | 0;
      const bin3 = (((31 - zeros3) << 9) + ((y3 << zeros3) >>> 22) - 511) | 0;
      // Adding 1 to each byte's low seven bits sets its top bit only from 127 up: 255 is what keeps both.
      const white =
        (((a & 0x7f7f7f7f) + 0x01010101) & a) |
        (((b & 0x7f7f7f7f) + 0x01010101) & b) |
        (((c & 0x7f7f7f7f) + 0x01010101) & c);
      if (((white & 0x80808080) | bin0 | bin1 | bin2 | bin3) >= 0 && (white & 0x80808080) === 0) {
        bins0[bin0] = ((bins0[bin0] as number) + 1) | 0;
        bins1[bin1] = ((bins1[bin1] as number) + 1) | 0;
        bins2[bin2] = ((bins2[bin2] as number) + 1) | 0;
        bins3[bin3] = ((bins3[bin3] as number) + 1) | 0;
      } else {
        bins0[Math.max(0, bin0)] = ((bins0[Math.max(0, bin0)] as number) + 1) | 0;
        bins1[Math.max(0, bin1)] = ((bins1[Math.max(0, bin1)] as number) + 1) | 0;
        bins2[Math.max(0, bin2)] = ((bins2[Math.max(0, bin2)] as number) + 1) | 0;
        bins3[Math.max(0, bin3)] = ((bins3[Math.max(0, bin3)] as number) + 1) | 0;
        countEnds(a & 0xff, (a >>> 8) & 0xff, (a >>> 16) & 0xff);
        countEnds(a >>> 24, b & 0xff, (b >>> 8) & 0xff);
        countEnds((b >>> 16) & 0xff, b >>> 24, c & 0xff);
        countEnds((c >>> 8) & 0xff, (c >>> 16) & 0xff, c >>> 24);
      }
    }
    return high * exp2(LOW_BITS) + low;
  };

  const clippedByChannel = tally.clippedByChannel as [number, number, number];
  const countEnds = (r: number, g: number, b: number): void => {
    if (r === 255 || g === 255 || b === 255) {
      tally.clippedPixels++;
      if (r === 255) clippedByChannel[0]++;
      if (g === 255) clippedByChannel[1]++;
      if (b === 255) clippedByChannel[2]++;
    } else if (r === 0 && g === 0 && b === 0) {
      tally.crushedPixels++;
    }
  };

  const finish = (): void => {
    for (const bank of banks) {
      for (let bin = 0; bin < bank.length; bin++) {
        tally.bins[bin] = (tally.bins[bin] as number) + (bank[bin] as number);
      }
    }
  };
  return { multiple: 4, count, finish };
}

type Banks = [Int32Array, Int32Array, Int32Array, Int32Array];

/** Sum of two channels' luminance for every pair of codes, the first in the low byte. */
function pairTable(low: Int32Array, high: Int32Array): Int32Array {
  const table = new Int32Array(1 << 16);
  for (let second = 0; second < 256; second++) {
    for (let first = 0; first < 256; first++) {
      table[(second << 8) | first] = (low[first] as number) + (high[second] as number);
    }
  }
  return table;
}
