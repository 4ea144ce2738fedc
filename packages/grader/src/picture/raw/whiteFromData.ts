/** Where a channel's samples pile up because the sensor holds no more light. */
export interface PileUp {
  /** Lowest code of the pile: samples at or above it are clipped. */
  readonly white: number;
  /** Samples in it. */
  readonly samples: number;
}

/** Codes next to the highest that are searched for the pile, as a share of the range. */
const TOP_SHARE = 0.004;
/** How much denser than the codes below a pile has to be. */
const DENSER = 8;
/** Samples a pile has at least, and as a share of the channel. */
const LEAST_SAMPLES = 64;
const LEAST_SHARE = 2e-5;
/** Share of the codes below the top that must be occupied: a drawing of a few flat tones piles up everywhere. */
const LEAST_OCCUPIED = 0.5;

/**
 * The white level that the data show: a pile of samples at the top, but below the level that the file states.
 *
 * A sensor saturates at one code, give or take its read noise, and a tail of tones thins out before it; bright tones that
 * are not clipped have shot noise and no edge. Figures are our judgement.
 *
 * @param histogram - one channel's counts by code
 * @param black - its black level
 * @param statedWhite - the file's white level
 * @returns null when the stated level is reached, or nothing piles up below it
 */
export function whiteFromData(
  histogram: Uint32Array,
  black: number,
  statedWhite: number,
): PileUp | null {
  const top = topCode(histogram);
  const range = top - black;
  if (top >= statedWhite || range <= 0) return null;

  const band = Math.max(4, Math.ceil(TOP_SHARE * range));
  const below = { from: Math.max(0, top - 6 * band), to: top - band };
  let tail = 0;
  let occupied = 0;
  for (let code = below.from; code < below.to; code++) {
    const count = histogram[code] as number;
    tail += count;
    if (count > 0) occupied++;
  }
  if (occupied < LEAST_OCCUPIED * (below.to - below.from)) return null;
  const density = tail / (below.to - below.from);

  // The pile reaches down from the top as far as codes are denser than the tail.
  let white = top;
  for (let code = top; code >= below.to; code--) {
    if ((histogram[code] as number) > DENSER * Math.max(density, 1)) white = code;
  }
  const samples = sumFrom(histogram, white, top);
  const enough = Math.max(LEAST_SAMPLES, LEAST_SHARE * sumFrom(histogram, 0, top));
  return samples >= enough && samples > DENSER * density * (top - white + 1)
    ? { white, samples }
    : null;
}

function sumFrom(histogram: Uint32Array, from: number, to: number): number {
  let sum = 0;
  for (let code = from; code <= to; code++) sum += histogram[code] as number;
  return sum;
}

/** The highest code that occurs; 0 when none does. */
export function topCode(histogram: Uint32Array): number {
  let top = histogram.length - 1;
  while (top > 0 && histogram[top] === 0) top--;
  return top;
}
