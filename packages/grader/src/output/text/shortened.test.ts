import fc from "fast-check";
import stringWidth from "string-width";
import { expect, test } from "vitest";
import { shortened } from "./shortened.ts";

test.each([
  ["Portrait_with_hat_8.jpg", 16, "Portrait_…_8.jpg"],
  ["Portrait_8.jpg", 14, "Portrait_8.jpg"],
  ["DSC_0042_final_edit_for_the_first_week.jpg", 16, "DSC_0…_0042….jpg"],
  ["01-tarred-hull-as-metered.jpg", 15, "01-tarr…red.jpg"],
  ["week1/01-tarred-hull-as-metered.jpg", 20, "week1/01-t…tered.jpg"],
  ["a very long name without number.jpg", 15, "a very …ber.jpg"],
  ["冬の写真とても長い名前-12.jpg", 16, "冬の写真…-12.jpg"],
  ["e\u0301".repeat(30), 5, `${"e\u0301".repeat(2)}…${"e\u0301".repeat(2)}`],
])("shortened(%o, %i) is %o", (name, width, short) => {
  expect(shortened(name, width)).toBe(short);
});

test("shortened(name, width) fits, whatever the name, and splits no character", () => {
  const names = fc.string({
    unit: fc.oneof(
      fc.constantFrom("a", "7", ".", "/", "é", "e\u0301", "雪", "🏔️"),
      fc.string({ unit: "grapheme", minLength: 1, maxLength: 1 }),
    ),
    maxLength: 80,
  });
  fc.assert(
    fc.property(names, fc.integer({ min: 1, max: 40 }), (name, width) => {
      const short = shortened(name, width);
      expect(stringWidth(short)).toBeLessThanOrEqual(width);
      if (stringWidth(name) <= width) expect(short).toBe(name);
    }),
  );
});
