import { expect, test } from "vitest";
import { regionWords } from "./regionWords.ts";

test.each([
  ["whole", "the whole picture"],
  ["spot", "a spot in the middle, 3\u00a0% of the picture"],
  ["spot:0.1,0.5", "a spot at the left, 3\u00a0% of the picture"],
  ["box:0,0,0.42,0.3", "a box at the top left, 42\u00a0% wide and 30\u00a0% high"],
  ["circle:0.76,0.53,0.11", "a circle at the right, 22\u00a0% of the width across"],
  ["ellipse:0.5,0.9,0.2,0.05", "an ellipse at the bottom, 40\u00a0% wide and 10\u00a0% high"],
  ["polygon:0.7,0.7 0.9,0.7 0.8,0.9", "an outline of 3 corners at the bottom right"],
])("%s is %s", (text, words) => {
  expect(regionWords(text)).toBe(words);
});
