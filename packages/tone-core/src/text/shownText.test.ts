import { expect, test } from "vitest";
import { cutText, shownText } from "./shownText.ts";

test("a short text stands as it is, a long one by its beginning and its length", () => {
  expect(shownText("box:0,0,2,1")).toBe("box:0,0,2,1");
  expect(shownText("x".repeat(200))).toBe("x".repeat(200));
  expect(shownText("x".repeat(201))).toBe(`${"x".repeat(200)}… (201 characters)`);
});

test("a character of two units is never cut in half", () => {
  expect(cutText("a😀b", 2)).toBe("a…");
  expect(cutText("a😀b", 3)).toBe("a😀…");
  expect(cutText("a😀b", 4)).toBe("a😀b");
});
