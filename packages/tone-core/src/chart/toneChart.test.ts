import { describe, expect, test } from "vitest";
import { parsePlacement } from "../placement/parsePlacement.ts";
import { findTone } from "./findTone.ts";
import { TONE_CHART } from "./toneChart.ts";

describe("TONE_CHART", () => {
  test.each(TONE_CHART.map((tone) => [tone.name, tone] as const))(
    "%s is well formed and found by all its names",
    (name, tone) => {
      expect(name).toMatch(/^[a-z0-9]+(-[a-z0-9]+)*$/);
      expect(tone.from).toBeLessThanOrEqual(tone.to);
      for (const each of [name, ...tone.aliases]) expect(findTone(each)).toBe(tone);
    },
  );

  test("no name means two tones", () => {
    const names = TONE_CHART.flatMap((tone) => [tone.name, ...tone.aliases]);
    expect(new Set(names).size).toBe(names.length);
  });

  test("runs from light to dark", () => {
    const middles = TONE_CHART.map(({ from, to }) => (from + to) / 2);
    middles.forEach((middle, i) => {
      expect(middle).toBeLessThanOrEqual((middles[i - 1] ?? Infinity) + 1e-12);
    });
  });

  test("skin is never placed without saying that it has no automatic placement", () => {
    for (const name of ["light-skin", "dark-skin"]) {
      expect(findTone(name).remark).toMatch(/never assumed/i);
    }
  });
});

describe("findTone", () => {
  test.each([
    ["SNOW", "snow"],
    [" Fresh  snow ", "snow"],
    ["gray_card", "grey-card"],
    ["grass", "lawn"],
  ])("(%j) is %s", (text, name) => {
    expect(findTone(text).name).toBe(name);
  });

  test.each([
    ["snwo", "snow"],
    ["lwan", "lawn"],
    ["grey-crad", "grey-card"],
    ["dark coats", "dark-coat"],
    ["wheathered wood", "weathered-wood"],
  ])("(%j) throws and asks whether %s was meant", (text, nearest) => {
    expect(() => findTone(text)).toThrow(`did you mean "${nearest}"?`);
  });

  test.each(["velvet", "", "x", "constructor"])("(%j) throws without a guess", (text) => {
    expect(() => findTone(text)).toThrow(
      expect.objectContaining({
        code: "TONE_UNKNOWN_NAME",
        message: expect.not.stringContaining("did you mean"),
      }),
    );
  });

  test("what it finds is a placement", () => {
    for (const tone of TONE_CHART) {
      expect(parsePlacement(tone.name)).toMatchObject({ from: tone.from, to: tone.to, tone });
    }
  });
});
