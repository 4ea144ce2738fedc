import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { parsePlacement, type StopRange } from "./parsePlacement.ts";

describe("parsePlacement", () => {
  test.each([
    ["-2", -2, -2, "stops"],
    ["+1 2/3", 5 / 3, 5 / 3, "stops"],
    ["0", 0, 0, "stops"],
    ["\u22121/3", -1 / 3, -1 / 3, "stops"],
    ["1.5..2.3", 1.5, 2.3, "range"],
    ["-1 .. -2", -2, -1, "range"],
    ["-1/3..+1/3", -1 / 3, 1 / 3, "range"],
    ["36%", 1, 1, "reflectance"],
    ["18 %", 0, 0, "reflectance"],
    ["36%..72%", 1, 2, "reflectance"],
    ["VI", 1, 1, "zone"],
    ["v", 0, 0, "zone"],
    ["zone iii", -2, -2, "zone"],
    ["Zone 7", 2, 2, "zone"],
    ["zone 0", -5, -5, "zone"],
    ["X", 5, 5, "zone"],
    ["VI..VII", 1, 2, "zone"],
    ["snow", 1.5, 2.3, "tone"],
    ["Dark coat", -3, -2, "tone"],
  ] as const)("(%j) is %s to %s by %s", (text, from, to, source) => {
    const placement = parsePlacement(text);
    expect(placement.from).toBeCloseTo(from, 12);
    expect(placement.to).toBeCloseTo(to, 12);
    expect(placement.source).toBe(source);
    expect(placement.text).toBe(text);
    expect(placement.tone === null).toBe(source !== "tone");
  });

  test("(number) and ({ from, to }) are taken as stops", () => {
    expect(parsePlacement(1.5)).toMatchObject({
      from: 1.5,
      to: 1.5,
      text: "+1.5",
      source: "stops",
    });
    expect(parsePlacement({ from: 2, to: 1 })).toMatchObject({
      from: 1,
      to: 2,
      text: "2..1",
      source: "range",
    });
  });

  test("of its own text is the same placement", () => {
    const stops = fc.integer({ min: -999, max: 999 }).map((hundredths) => hundredths / 100);
    fc.assert(
      fc.property(stops, stops, (a, b) => {
        for (const placement of [parsePlacement(a), parsePlacement({ from: a, to: b })]) {
          expect(parsePlacement(placement.text)).toEqual(placement);
        }
      }),
    );
  });

  test.each([
    "",
    "36",
    "-11",
    "1..",
    "..2",
    "1..2..3",
    "1.5..VI",
    "36%..2",
    "0%",
    "-5%",
    "zone 11",
    "1,5",
    "--2",
    "?",
    "snow..lawn",
  ])("(%j) throws TONE_BAD_PLACEMENT and says what is accepted", (text) => {
    expect(() => parsePlacement(text)).toThrow(
      expect.objectContaining({
        code: "TONE_BAD_PLACEMENT",
        message: expect.stringMatching(/stops from middle grey.*range.*reflectance.*zone/),
      }),
    );
  });

  test.each(["snwo", "velvet", "XI"])(
    "(%j) throws TONE_UNKNOWN_NAME and names the nearest tone or the chart's",
    (text) => {
      expect(() => parsePlacement(text)).toThrow(
        expect.objectContaining({
          code: "TONE_UNKNOWN_NAME",
          message: expect.stringMatching(/chart.*snow/),
        }),
      );
    },
  );

  test.each([
    Number.NaN,
    Infinity,
    11,
    { from: Number.NaN, to: 1 },
    { from: 1 },
    { from: "1", to: "2" },
    null,
    undefined,
    true,
    [],
  ])("(%j) throws TONE_BAD_PLACEMENT", (input) => {
    expect(() => parsePlacement(input as unknown as StopRange)).toThrow(
      expect.objectContaining({ code: "TONE_BAD_PLACEMENT" }),
    );
  });
});
