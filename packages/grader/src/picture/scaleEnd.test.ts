import { exp2, naturalLog } from "@tonefall/tone-core";
import { describe, expect, test } from "vitest";
import { type Random, seededRandom } from "../../bench/simulation/random.ts";
import { srgb } from "./colour/codeMeaning.ts";
import { GLANCE_PIXELS, mayEnd, PILE, PILE_AT_A_GLANCE, scaleEndOf } from "./cutScale.ts";
import { renderedFrame } from "./renderedFrame.ts";
import { withScaleEnd } from "./scaleEnd.ts";

/** Pixels of a whole look. */
const WHOLE = 2 ** 18;

describe("a glance at a cut scale", () => {
  test("loses at most one picture in a million of those that stand at every limit at once", () => {
    const [pile, glance] = [PILE.share * GLANCE_PIXELS, PILE_AT_A_GLANCE];
    const size = odds(pile, (count) => count < glance.share * GLANCE_PIXELS);
    const lost = (other: number, most: number) =>
      oddsOfTwo(pile, other, (count, beside) => beside > most * count);
    const next = 2 * lost(pile / PILE.overNext, 1 / glance.overNext);
    const below = 7 * lost(pile / PILE.overBelow, 1 / glance.overBelow);
    const above = lost(pile * PILE.above, glance.above);
    // The least that a whole look asks for is a pile in two channels.
    expect(2 * (size + next + below + above)).toBeLessThan(1e-6);
  });

  test("shows every pile that the whole look finds, at the limits and above them", () => {
    const random = seededRandom(11);
    for (let round = 0; round < 600; round++) {
      const whole = cutHistograms(random.between(1, 2), random);
      expect(scaleEndOf(whole)).not.toBeNull();
      expect(mayEnd(whole.map((counts) => atAGlance(counts, random)))).toBe(true);
    }
  });

  test("leaves alone a scene that fades into white", () => {
    const random = seededRandom(5);
    const fading = [0.9, 1, 1.1].map((slope) =>
      Uint32Array.from({ length: 256 }, (_, code) =>
        Math.round(400 * exp2((-slope * code) / 28) * random.between(0.9, 1.1)),
      ),
    );
    for (const counts of fading) counts[0] = GLANCE_PIXELS;
    expect(mayEnd(fading)).toBe(false);
  });
});

describe("the end of a large picture's scale", () => {
  // A glance in equal steps, of 48 pixels here, would see the same 25 columns of each row of 1200.
  test.each([1199, 1200, 1248])("is found where a narrow part of it is cut: %i wide", (width) => {
    const random = seededRandom(width);
    for (let round = 0; round < 6; round++) {
      const [x, y] = [random.between(0, 0.98) * width, random.between(0, 0.5) * HEIGHT];
      expect(withScaleEnd(windowed(width, x, y)).scaleEnd?.codes).toEqual([243, 243, 243]);
    }
  });
});

const HEIGHT = 800;

/** A textured picture with a tall window, a hundredth of it, in which the scale is cut. */
function windowed(width: number, left: number, top: number) {
  const samples = new Uint8Array(width * HEIGHT * 3);
  for (let i = 0; i < width * HEIGHT; i++) {
    const [x, y] = [i % width, Math.floor(i / width)];
    const cut = x >= left && x < left + width / 50 && y >= top && y < top + HEIGHT / 2;
    for (let c = 0; c < 3; c++) samples[3 * i + c] = cut ? 243 : 20 + ((x * 7 + y * 13 + c) % 101);
  }
  return renderedFrame({
    width,
    height: HEIGHT,
    samples,
    stride: 3,
    bits: 8,
    fullScale: 255,
    orientation: 1,
    meaning: srgb(3, { description: "sRGB", from: "assumed" }),
    notes: [],
  });
}

/** Counts of a whole look at a picture with a pile of this many times the least share, at every other limit at once. */
function cutHistograms(times: number, random: Random): Uint32Array[] {
  const end = Math.round(random.between(200, 250));
  return [0, 1, 2].map((channel) => {
    const counts = new Uint32Array(256);
    const pile = Math.ceil(PILE.share * WHOLE * times);
    for (let code = end - 8; code < end - 1; code++)
      counts[code] = Math.floor(pile / PILE.overBelow);
    for (const code of [end - 1, end + 1]) counts[code] = Math.floor(pile / PILE.overNext);
    counts[end] = pile;
    counts[255] = Math.floor(PILE.above * pile) - (counts[end + 1] as number);
    const rest = WHOLE - counts.reduce((sum, count) => sum + count, 0);
    // Not grey: a channel's tones begin at a code of its own.
    for (let code = channel; code < 100; code++) counts[code] = Math.floor(rest / 100);
    return counts;
  });
}

/** Counts of a glance: each light pixel has its chance to be in it, and the rest are dark, which decides nothing. */
function atAGlance(counts: Uint32Array, random: Random): Uint32Array {
  const few = counts.map((count, code) => (code < 128 ? 0 : kept(count, random)));
  few[0] = GLANCE_PIXELS - few.reduce((sum, count) => sum + count, 0);
  return few;
}

function kept(count: number, random: Random): number {
  let few = 0;
  for (let i = 0; i < count; i++) if (random.chance(GLANCE_PIXELS / WHOLE)) few++;
  return few;
}

/** Chance of each count where this many are expected, as far as it matters. */
function poisson(expected: number): number[] {
  let bits = -expected / naturalLog(2);
  return Array.from({ length: 400 }, (_, count) => {
    if (count > 0) bits += naturalLog(expected / count) / naturalLog(2);
    return exp2(bits);
  });
}

function odds(expected: number, loses: (count: number) => boolean): number {
  return poisson(expected).reduce((sum, chance, count) => sum + (loses(count) ? chance : 0), 0);
}

function oddsOfTwo(
  expected: number,
  other: number,
  loses: (count: number, beside: number) => boolean,
): number {
  return poisson(other).reduce(
    (sum, chance, beside) => sum + chance * odds(expected, (count) => loses(count, beside)),
    0,
  );
}
