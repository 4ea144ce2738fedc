import { squared } from "@tonefall/tone-core";
import type { ScaleEnd } from "./frame.ts";

/** Codes of an 8-bit sample; only 8-bit pictures are examined. */
export const CODES = 256;

/** What a pile of one channel's pixels must be to count as the end of its scale. */
interface PileLimits {
  /** Least share of the picture. */
  readonly share: number;
  /** It stands at least this many times above the code on either side. */
  readonly overNext: number;
  /** And this many times above each of the seven codes below those. */
  readonly overBelow: number;
  /** What lies above it is at most this much of the pile. */
  readonly above: number;
}

/**
 * What sets a cut scale apart from a scene's own tones: noise and light that falls off spread those over several codes, and
 * above a pile lies only what sharpening and compression throw over an edge. Our judgement, tried on photographs and made
 * pictures: the table is in docs/clipping.md.
 */
export const PILE: PileLimits = { share: 0.005, overNext: 4, overBelow: 6, above: 0.35 };

/**
 * The same in counts of a few pixels, where chance moves every count. At a glance of 16,384 pixels, of a picture that
 * stands at every one of {@link PILE}'s limits at once, chance hides the pile once in a million; further inside them, less.
 */
export const PILE_AT_A_GLANCE: PileLimits = {
  share: 0.0025,
  overNext: 1.25,
  overBelow: 1.25,
  above: 1,
};

/** Pixels of a glance, at least. */
export const GLANCE_PIXELS: number = 2 ** 14;

/** Piles of one white hold about as many pixels in every channel. */
const ALIKE = 0.6;

/** The ends of one white's channels lie this near to each other, in codes. */
const ONE_WHITE = 16;

/** An end below this would be a picture darkened past use. */
const LOWEST_END = 192;

/** Below the pile, a scene's tones take up at least this many codes; a graphic's are a few. */
const SCENE_CODES = 24;

/**
 * Finds the code at which a picture's scale ends, where that is below full scale: some cameras and edits write white as
 * 251 or 235, and what was lighter in the scene is piled up there.
 *
 * A pile-up alone is not enough, since flat paper and graphics pile up too. All of this must hold: the pile stands alone
 * among its neighbouring codes, hardly anything is lighter, all three channels pile up alike and near one code, and the
 * rest of the picture holds tones as many as a scene's. In a grey picture nothing tells a cut scale from a flat tone, so
 * none is found.
 *
 * @param histograms - counts by code of red, green and blue, 256 each
 *
 * @example
 * ```ts
 * scaleEndOf(histograms)?.codes; // => [251, 251, 251]
 * ```
 */
export function scaleEndOf(histograms: readonly Uint32Array[]): ScaleEnd | null {
  if (histograms.length !== 3 || isGrey(histograms)) return null;
  const pixels = sumOf(histograms[0] as Uint32Array);
  const lone = histograms.map((counts) => lonePile(counts, pixels, PILE));
  const piles = lone.filter((code): code is number => code !== null);
  // One channel may be lighter than the cut white, as warm lights are in red.
  if (piles.length < 2 || Math.max(...piles) - Math.min(...piles) > ONE_WHITE) return null;
  const sizes = lone.flatMap((code, i) => (code === null ? [] : [histograms[i]?.[code] as number]));
  const size = Math.max(...sizes);
  const codes = histograms.map((counts, i) => lone[i] ?? pileLike(counts, ALIKE * size, piles));
  const alike = histograms.every((counts, i) => (counts[codes[i] ?? CODES] ?? 0) >= ALIKE * size);
  const scenic = histograms.filter((counts, i) => tonesBelow(counts, codes[i] ?? 0) >= SCENE_CODES);
  if (!alike || scenic.length < 2) return null;
  return { codes: codes as number[], share: Math.min(...sizes) / pixels };
}

/**
 * Whether {@link scaleEndOf} may find an end in all of a picture, by the counts of a few of its pixels.
 *
 * @param histograms - counts by code of red, green and blue, 256 each
 */
export function mayEnd(histograms: readonly Uint32Array[]): boolean {
  const pixels = sumOf(histograms[0] as Uint32Array);
  if (pixels < GLANCE_PIXELS) return true;
  const lone = histograms.filter((counts) => lonePile(counts, pixels, PILE_AT_A_GLANCE) !== null);
  return lone.length >= 2;
}

/** The lightest code below full scale that stands alone with hardly anything above it; null where there is none. */
function lonePile(
  counts: Uint32Array,
  pixels: number,
  { share, overNext, overBelow, above: mostAbove }: PileLimits,
): number | null {
  const at = (code: number): number => counts[code] ?? 0;
  let above = at(CODES - 1);
  for (let code = CODES - 2; code >= LOWEST_END; code--) {
    const size = at(code);
    const next = Math.max(at(code - 1), code + 1 < CODES - 1 ? at(code + 1) : 0);
    const below = Math.max(...[2, 3, 4, 5, 6, 7, 8].map((down) => at(code - down)));
    const alone = size >= overNext * next && size >= overBelow * below;
    if (size >= share * pixels && alone && above <= mostAbove * size) return code;
    above += size;
  }
  return null;
}

/** The most populated code near the other channels' piles, where it holds about as much. */
function pileLike(counts: Uint32Array, least: number, piles: readonly number[]): number | null {
  let found: number | null = null;
  for (let code = Math.min(...piles) - ONE_WHITE; code < CODES; code++) {
    if (code - Math.max(...piles) > ONE_WHITE) break;
    const size = counts[code] ?? 0;
    if (size >= least && size > (found === null ? 0 : (counts[found] as number))) found = code;
  }
  return found;
}

/** How many codes the tones below a pile occupy: the inverse of the chance that two pixels share one. */
function tonesBelow(counts: Uint32Array, pile: number): number {
  const tones = counts.subarray(0, Math.max(0, pile - 2));
  const pixels = sumOf(tones);
  let squares = 0;
  for (const count of tones) squares += count * count;
  return squares === 0 ? 0 : squared(pixels) / squares;
}

function isGrey([red, green, blue]: readonly Uint32Array[]): boolean {
  return (red as Uint32Array).every(
    (count, code) => count === green?.[code] && count === blue?.[code],
  );
}

function sumOf(counts: Uint32Array): number {
  return counts.reduce((sum, count) => sum + count, 0);
}
