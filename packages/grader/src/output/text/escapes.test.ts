import { parse } from "csv-parse/sync";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { safeText } from "../../model/words.ts";
import { csv } from "./csv.ts";
import { jsonText } from "./json.ts";

/** Texts of what does harm, and of anything else. */
const hostile = fc.string({
  unit: fc.oneof(
    fc.constantFrom(
      ..."=+-@\t\r\n\uFF1D\uFF0B\uFF0D\uFF20\u001b\u009b\u202e\u2066\u2028\u0007\",'",
    ),
    fc.string({ unit: "binary", minLength: 1, maxLength: 1 }),
  ),
});

const UNSEEN = /[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]/u;

test("safeText(text) shows nothing that moves a cursor or turns text, whatever the text", () => {
  fc.assert(
    fc.property(hostile, (text) => {
      expect(safeText(text)).not.toMatch(UNSEEN);
    }),
  );
});

describe("csv", () => {
  test("no text of any column begins a formula", () => {
    fc.assert(
      fc.property(fc.array(hostile, { minLength: 1, maxLength: 5 }), (cells) => {
        const [row] = parse(csv(Object.keys(cells), [cells]), { from: 2 }) as string[][];
        expect(row).toHaveLength(cells.length);
        for (const cell of row ?? [])
          expect(cell).not.toMatch(/^[=+\-@\t\r\n\uFF1D\uFF0B\uFF0D\uFF20]/);
      }),
    );
  });

  test("numbers stay numbers", () => {
    expect(csv(["a"], [[-1.5]])).toBe("a\r\n-1.5\r\n");
  });
});

describe("jsonText", () => {
  test("is the same document, with nothing unseen but its own line ends", () => {
    fc.assert(
      fc.property(hostile, hostile, (key, value) => {
        const text = jsonText({ [`k${key}`]: value });
        expect(text.replaceAll("\n", "")).not.toMatch(UNSEEN);
        expect(JSON.parse(text)).toEqual(JSON.parse(JSON.stringify({ [`k${key}`]: value })));
      }),
    );
  });

  test("a character beyond 16 bits stands as both its halves", () => {
    expect(jsonText({ a: "\u{E0001}" }, 0)).toBe('{"a":"\\udb40\\udc01"}\n');
  });
});
