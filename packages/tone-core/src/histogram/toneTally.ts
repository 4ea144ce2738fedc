import { exp2, log2 } from "../exact/exactMath.ts";
import { expectObject } from "../expectGiven.ts";
import { expectPositive, expectUnit, expectWhole } from "../expectNumber.ts";
/** Runs of equal width that every octave (stop) of luminance is counted in: a bin is at most 0.003 stop wide. */
export const BINS_PER_OCTAVE = 512;

/** Luminance of full scale in the integers that pixels are summed in; 2^30 keeps a sum in 31 bits. */
const FULL_SCALE_BITS = 30;

const OCTAVE_SHIFT = 9; // log2 of BINS_PER_OCTAVE
/** Bins of a tally: what is at or below zero, and every octave to twice full scale. */
export const BIN_COUNT: number = 1 + (FULL_SCALE_BITS + 1) * BINS_PER_OCTAVE;

/**
 * What one pass over a region's pixels counts. Tallies of parts add up to the tally of the whole, in any order.
 */
export interface ToneTally {
  /** Pixels counted. */
  readonly pixels: number;
  /** Pixels left out because they are more than half transparent. */
  readonly transparent: number;
  /** Pixels whose tone was counted, in `luminanceSum` and `bins`: all, or those of an even lattice that stand for them. */
  readonly tonedPixels: number;
  /** Sum of relative luminance over the toned pixels. */
  readonly luminanceSum: number;
  /**
   * Toned pixels by luminance: bin 0 holds what is at or below zero, the others cut every octave into
   * {@link BINS_PER_OCTAVE} runs of equal width. Read it with {@link binLuminance}.
   */
  readonly bins: Uint32Array;
  /** Relative luminance of the integer unit the bins count in. */
  readonly unit: number;
  /** Pixels in which at least one channel is clipped. */
  readonly clippedPixels: number;
  /** Pixels clipped in each channel, in channel order. */
  readonly clippedByChannel: readonly number[];
  /** Pixels in which every channel is at or below its crush code. */
  readonly crushedPixels: number;
}

/** The index of the bin of an integer luminance: octave from the leading bit, place in it from the bits that follow. */
export function binOf(luminance: number): number {
  if (luminance <= 0) return 0;
  const zeros = Math.clz32(luminance);
  return (
    1 +
    ((31 - zeros) << OCTAVE_SHIFT) +
    (((luminance << zeros) >>> (31 - OCTAVE_SHIFT)) & (BINS_PER_OCTAVE - 1))
  );
}

/**
 * Relative luminance at a position within a tally's bin.
 *
 * @param tally - for its unit
 * @param bin - index, from 1 (bin 0 has no luminance) to the tally's last
 * @param part - 0 for the bin's lower edge, 1 for its upper, 0.5 for its middle
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for a bin that the tally does not have, or a part outside [0, 1]
 */
export function binLuminance(tally: Pick<ToneTally, "unit">, bin: number, part: number): number {
  expectObject("the tally", tally);
  expectPositive("the tally's unit", tally.unit);
  expectWhole("bin", bin, 1, BIN_COUNT - 1);
  return luminanceIn(tally, bin, expectUnit("part", part));
}

/** {@link binLuminance} of what was looked at already. */
export function luminanceIn(tally: Pick<ToneTally, "unit">, bin: number, part: number): number {
  const octave = (bin - 1) >>> OCTAVE_SHIFT;
  const place = (bin - 1) & (BINS_PER_OCTAVE - 1);
  return tally.unit * exp2(octave) * (1 + (place + part) / BINS_PER_OCTAVE);
}

/**
 * The first bin above a luminance: the one whose lower edge is nearest to it, so that pixels within half a bin, 1/1024 of
 * the luminance at most, may be taken for those on the other side.
 *
 * @returns 0 for a luminance at or below zero; one more than the last bin for one beyond them all
 */
export function firstBinFrom({ unit }: Pick<ToneTally, "unit">, luminance: number): number {
  if (luminance <= 0) return 0;
  const units = luminance / unit;
  let octave = 0;
  while (octave <= FULL_SCALE_BITS && exp2(octave + 1) <= units) octave++;
  const place = Math.round((units / exp2(octave) - 1) * BINS_PER_OCTAVE);
  return Math.min(BIN_COUNT, Math.max(1, 1 + octave * BINS_PER_OCTAVE + place));
}

/** An empty set of bins. */
export function emptyBins(): Uint32Array {
  return new Uint32Array(BIN_COUNT);
}

/**
 * The integer unit for a greatest luminance: the power of two that brings it to at most 2^30.
 *
 * A power of two, so that scaling a luminance by it is exact.
 *
 * @param greatest - the largest luminance a pixel can have, > 0
 */
export function tallyUnit(greatest: number): number {
  return exp2(Math.ceil(log2(greatest)) - FULL_SCALE_BITS);
}

/** The luminance that fills a tally's scale: display white, or the power of two at or above the greatest a sensor can give. */
export function fullScale({ unit }: Pick<ToneTally, "unit">): number {
  return unit * exp2(FULL_SCALE_BITS);
}
