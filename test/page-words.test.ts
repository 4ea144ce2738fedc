import { gradeFrames } from "@tonefall/grader";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { MISSED, RENDERING_EXPLAINS } from "../packages/grader/src/judge/feedback/templates.ts";
import { VOICES } from "../packages/grader/src/model/feedback.ts";
import { addressOf, hashOf } from "../packages/grader/src/output/page/client/address.ts";
import {
  pulled,
  type Side,
  type SpotShape,
} from "../packages/grader/src/output/page/client/spotShape.ts";
import { fallHeadline, whyAndNext } from "../packages/grader/src/output/page/frameData.ts";
import { overview } from "../packages/grader/src/output/page/overview.ts";
import { typeset } from "../packages/grader/src/output/page/pageWords.ts";

describe("a grade in words, taken apart for a card", () => {
  const texts = [...Object.entries(MISSED), ["rendering", RENDERING_EXPLAINS] as const].flatMap(
    ([code, words]) => VOICES.map((voice) => [code, voice, words[voice]] as const),
  );
  test.each(texts)("%s, to a %s: a reason and one thing to do, and no word lost", (_, __, text) => {
    const { why, next } = whyAndNext(text);
    expect(why).toMatch(/^[A-Z].+\.$/);
    expect(why).not.toContain("than placed");
    expect(next).toMatch(/^[A-Z].+\.$/);
    expect(text.toLowerCase()).toContain((why ?? "").slice(1, -1).toLowerCase());
    expect(typeset(text)).toContain(next);
  });
});

test.each([
  [1.51, null, "1\u00a02/3\u00a0stops above middle grey"],
  [1.51, "at least", "1\u00a02/3\u00a0stops above middle grey or lighter"],
  [-9, "at most", "9\u00a0stops below middle grey or darker"],
  [0, "at least", "At middle grey or lighter"],
] as const)("a tone that fell at %d, %s", (stops, bound, words) => {
  expect(fallHeadline({ stops, bound })).toBe(words);
});

test("where no frame was graded, the page says why without a click", async () => {
  const frames = [];
  for await (const row of gradeFrames(["nowhere.jpg"], { place: 0 })) {
    frames.push({
      row,
      number: 1,
      id: "frame-1",
      name: "nowhere.jpg",
      folder: "",
      thumbnail: null,
    });
  }
  expect(overview(frames, () => "#").text).toContain('<details class="failures" open>');
});

describe("words as pages set them", () => {
  test("minus signs are real, and a size stays together", () => {
    expect(typeset("from -1.50 to -0.5 (-2), 1 2/3 stops")).toBe(
      "from −1.50 to −0.5 (−2), 1\u00a02/3\u00a0stops",
    );
    expect(typeset("≥ +1.94 ± 0.05")).toBe("≥\u00a0+1.94 ±\u00a00.05");
  });

  test("names with hyphens stay as they are", () => {
    expect(typeset("01-tarred-hull-2.jpg")).toBe("01-tarred-hull-2.jpg");
  });
});

describe("the address of what is shown", () => {
  test("what was chosen comes back", () => {
    const numbers = fc.array(fc.integer({ min: 1, max: 999 }).map(String), { maxLength: 5 });
    fc.assert(
      fc.property(
        fc.record({
          show: fc.constantFrom("all", "over", "under", "within", "failed"),
          cause: fc.constantFrom("", "flash-fired"),
          q: fc.string(),
          by: fc.constantFrom("", "worst", "cause", "folder"),
          open: numbers,
          shut: numbers,
          at: fc.constantFrom("", "frame-3"),
        }),
        (address) => {
          expect(addressOf(hashOf(address))).toEqual(address);
        },
      ),
    );
  });

  test("a link to another part of the page is none", () => {
    expect(addressOf("#sheets")).toBeNull();
    expect(addressOf("#frame-12")?.at).toBe("frame-12");
  });
});

describe("a side of a box that is pulled", () => {
  const part = fc.double({ min: 0, max: 1, noNaN: true });
  const sides: readonly Side[] = ["left", "right", "top", "bottom"];
  const edges = ({ x, y, halfWidth, halfHeight }: SpotShape): Record<Side, number> => ({
    left: x - halfWidth,
    right: x + halfWidth,
    top: y - halfHeight,
    bottom: y + halfHeight,
  });
  test("moves alone: the other three stay, whatever the smallest size", () => {
    const spot: SpotShape = { round: false, x: 0.5, y: 0.4, halfWidth: 0.2, halfHeight: 0.1 };
    fc.assert(
      fc.property(fc.constantFrom(...sides), part, part, (side, x, y) => {
        const after = edges(pulled(spot, side, { x, y }, 1.5));
        for (const other of sides) {
          if (other !== side) expect(after[other]).toBeCloseTo(edges(spot)[other], 12);
        }
        expect(after.right - after.left).toBeGreaterThan(0.0799);
        expect(after.bottom - after.top).toBeGreaterThan(0.0799);
      }),
    );
  });
});
