import fc from "fast-check";
import stringWidth from "string-width";
import { expect, test } from "vitest";
import wrapAnsi from "wrap-ansi";
import { textWidth } from "./textWidth.ts";
import { wrapped } from "./wrapped.ts";

// Truth: the libraries that know every character. The short ways around them must give the same.
const texts = fc.string({
  unit: fc.oneof(
    fc.constantFrom(
      " ",
      "a",
      "word",
      "é",
      "Ж",
      "±",
      "▲",
      "…",
      "−",
      "\u00A0",
      "雪",
      "🏔️",
      "e\u0301",
      "\n",
      "\t",
    ),
    fc.string({ unit: "grapheme", minLength: 1, maxLength: 1 }),
  ),
  maxLength: 60,
});

test("textWidth(text) is the width that a terminal gives a text", () => {
  fc.assert(
    fc.property(texts, (text) => {
      expect(textWidth(text)).toBe(stringWidth(text));
    }),
  );
});

test("textWidth(text) is 1 for every character that it takes for narrow", () => {
  for (let code = 0x20; code < 0x3000; code++) {
    const character = String.fromCharCode(code);
    expect([code, textWidth(character)]).toEqual([code, stringWidth(character)]);
  }
});

test.each([true, false])("wrapped(text, width, %s) breaks where a terminal needs it", (hard) => {
  fc.assert(
    fc.property(texts, fc.integer({ min: 1, max: 30 }), (text, width) => {
      expect(wrapped(text, width, hard)).toBe(wrapAnsi(text, width, { hard }));
    }),
  );
});
