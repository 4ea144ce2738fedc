import { squared } from "@tonefall/tone-core";
import { shareNote } from "../model/note.ts";
import type { Frame, ScaleEnd } from "./frame.ts";

/** Codes of an 8-bit sample; only 8-bit pictures are examined. */
const CODES = 256;

/** Pixels examined: enough to know a share of 1/200 within a twentieth of itself. */
const LOOKED_AT = 2 ** 18;

/*
 * What sets a cut scale apart from a scene's own tones. Our judgement, tried on photographs and made pictures: the table
 * is in docs/clipping.md.
 */

/** A pile holds at least this share of the picture. */
const PILE_SHARE = 0.005;

/** It stands this many times above the code on either side: noise and light that falls off spread a scene's own tone. */
const OVER_NEXT = 4;

/** And this many times above each of the seven codes below those. */
const OVER_BELOW = 6;

/** What lies above it is what sharpening and compression throw over an edge: at most this much of the pile. */
const ABOVE = 0.35;

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
function scaleEndOf(histograms: readonly Uint32Array[]): ScaleEnd | null {
  if (histograms.length !== 3 || isGrey(histograms)) return null;
  const pixels = sumOf(histograms[0] as Uint32Array);
  const lone = histograms.map((counts) => lonePile(counts, PILE_SHARE * pixels));
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
 * A frame that counts as clipped what is piled up at the end of its own scale.
 *
 * @param frame - from any decoder
 * @returns the frame itself where its scale ends at full scale, or where more than 8 bits or one channel leave that open
 */
export function withScaleEnd(frame: Frame): Frame {
  if (!(frame.samples instanceof Uint8Array) || frame.channels.length !== 3) return frame;
  const end = scaleEndOf(someCodes(frame));
  if (!end) return frame;
  const fullScale = CODES - 1;
  return {
    ...frame,
    channels: frame.channels.map((channel, i) => ({
      ...channel,
      clipCode: end.codes[i] as number,
    })),
    scaleEnd: { ...end, fullScale },
    notes: [...frame.notes, shareNote("scale-ends-below-white", end.share)],
  };
}

/** Counts by code of an even part of the visible pixels of three channels: the whole of a small picture, some of a large one. */
function someCodes({ samples, stride, width, height, channels, alphaIndex }: Frame): Uint32Array[] {
  // Odd, so that every place in a JPEG's blocks is visited.
  const step = stride * (2 * Math.floor((width * height) / LOOKED_AT / 2) + 1);
  const end = width * height * stride;
  const histograms = channels.map(() => new Uint32Array(CODES));
  const [red, green, blue] = histograms as [Uint32Array, Uint32Array, Uint32Array];
  // One pass for all channels, side by side: nearly every pixel is waited for, and the next can be fetched meanwhile.
  for (let at = 0; at < end; at += step) {
    if (alphaIndex !== null && (samples[at + alphaIndex] as number) < CODES / 2) continue;
    (red[samples[at] as number] as number)++;
    (green[samples[at + 1] as number] as number)++;
    (blue[samples[at + 2] as number] as number)++;
  }
  return histograms;
}

/** The lightest code below full scale that stands alone with hardly anything above it; null where there is none. */
function lonePile(counts: Uint32Array, least: number): number | null {
  const at = (code: number): number => counts[code] ?? 0;
  let above = at(CODES - 1);
  for (let code = CODES - 2; code >= LOWEST_END; code--) {
    const size = at(code);
    const next = Math.max(at(code - 1), code + 1 < CODES - 1 ? at(code + 1) : 0);
    const below = Math.max(...[2, 3, 4, 5, 6, 7, 8].map((down) => at(code - down)));
    const alone = size >= OVER_NEXT * next && size >= OVER_BELOW * below;
    if (size >= least && alone && above <= ABOVE * size) return code;
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
