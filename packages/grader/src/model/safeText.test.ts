import { expect, test } from "vitest";
import { safeText } from "./words.ts";

test.each([
  ["an emoji of several parts", "\u{1f469}\u{1f3fd}\u200d\u{1f3eb}.jpg"],
  ["a Persian word with a break in its joins", "\u0645\u06cc\u200c\u0631\u0648\u062f.jpg"],
  ["a half form of Devanagari", "\u0915\u094d\u200d\u0937.jpg"],
])("%s stays as it is", (_, name) => {
  expect(safeText(name)).toBe(name);
});

test.each([
  ["between Latin letters", "a\u200db.jpg", "a\ufffdb.jpg"],
  ["at the end", "\u0645\u200c", "\u0645\ufffd"],
  ["that turns the line round", "a\u202eb", "a\ufffdb"],
  ["that moves the cursor", "a\u001b[2Jb", "a\ufffd[2Jb"],
])("what is unseen %s has a stand-in", (_, name, shown) => {
  expect(safeText(name)).toBe(shown);
});
