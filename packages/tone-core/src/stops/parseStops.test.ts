import { describe, expect, test } from "vitest";
import { parseStops } from "./parseStops.ts";

describe("parseStops", () => {
  test.each([
    ["-2", -2],
    ["+1 2/3", 5 / 3],
    ["-1 2/3", -5 / 3],
    ["-5/3", -5 / 3],
    ["1.5", 1.5],
    [".5", 0.5],
    ["1/3", 1 / 3],
    ["0", 0],
    ["-0", 0],
    ["\u22122", -2],
    ["\u20131/3", -1 / 3],
    ["  + 2 ", 2],
    ["1 stop", 1],
    ["1 1/3 stops", 4 / 3],
    [".25", 0.25],
    ["1   2/3", 5 / 3],
    ["10/4", 2.5],
    ["1/10", 0.1],
    ["2 / 3", 2 / 3],
    ["1   stop", 1],
    ["1stop", 1],
  ])("(%j) is %s", (text, stops) => {
    expect(parseStops(text)).toBe(stops);
  });

  test.each([
    "",
    " ",
    "two",
    "1/0",
    "--2",
    "1.",
    "1,5",
    "1 2",
    "2/3 1",
    "1e3",
    "NaN",
    "Infinity",
    "1x/3",
    "1/x3",
  ])("(%j) throws TONE_BAD_STOPS", (text) => {
    expect(() => parseStops(text)).toThrow(
      expect.objectContaining({
        code: "TONE_BAD_STOPS",
        message: expect.stringContaining(`received "${text}"`),
      }),
    );
  });
});
