import { uprightFromStored } from "@tonefall/tone-core";
import { expect, test } from "vitest";
import { type Likeness, readLikeness, sameFromFarAway, type Turn } from "./compareLikeness.ts";

const SIDE = 16;
const TURNS: readonly Turn[] = [1, 2, 3, 4, 5, 6, 7, 8];

/** A picture without symmetry, its tones from a generator of one seed. */
function tonesOf(seed: number): number[] {
  let state = seed;
  return Array.from({ length: SIDE * SIDE }, () => {
    state = (1103515245 * state + 12345) % 2147483648;
    return 60 + Math.floor((120 * state) / 2147483648);
  });
}

function likeness(tones: readonly number[]): Likeness {
  const text = tones.map((tone) => tone.toString(16).padStart(2, "0")).join("");
  return readLikeness(text) as Likeness;
}

/** The tones as they lie when the stored picture is shown by its orientation tag. */
function turned(tones: readonly number[], turn: Turn): number[] {
  const shown = [...tones];
  for (const [part, tone] of tones.entries()) {
    const centre = { x: ((part % SIDE) + 0.5) / SIDE, y: (Math.floor(part / SIDE) + 0.5) / SIDE };
    const to = uprightFromStored(centre, turn);
    shown[Math.floor(to.y * SIDE) * SIDE + Math.floor(to.x * SIDE)] = tone;
  }
  return shown;
}

test.each(TURNS)("a copy is found however it is turned or mirrored: orientation %d", (turn) => {
  const tones = tonesOf(7);
  const same = sameFromFarAway(likeness(turned(tones, turn)), likeness(tones));
  expect(same?.gap.correlation).toBeCloseTo(1, 9);
  // The other one has to be turned just as this one was, or back, to lie on it.
  expect([turn, { 6: 8, 8: 6 }[turn as 6]]).toContain(same?.turn);
});

test("other pictures are not taken for copies, turned or not", () => {
  const all = Array.from({ length: 40 }, (_, i) => likeness(tonesOf(i + 1)));
  const alike = all.flatMap((one, i) =>
    all.slice(0, i).filter((other) => sameFromFarAway(one, other)),
  );
  expect(alike).toEqual([]);
});

test("a mirrored picture has to be more alike than one that lies as the other does", () => {
  const tones = tonesOf(3);
  // Noise that leaves a correlation between the two limits.
  const noisy = tones.map((tone, i) => tone + (i % 2 === 0 ? 6 : -6));
  const plain = sameFromFarAway(likeness(tones), likeness(noisy));
  expect(plain?.gap.correlation).toBeGreaterThan(0.98);
  expect(plain?.gap.correlation).toBeLessThan(0.99);
  expect(sameFromFarAway(likeness(turned(tones, 2)), likeness(noisy))).toBeNull();
});
