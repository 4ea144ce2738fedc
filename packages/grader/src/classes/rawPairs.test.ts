import { expect, test } from "vitest";
import { shotsOf } from "./rawPairs.ts";

const shots = (paths: readonly string[], asked: RegExp) => {
  const { files, beside } = shotsOf(
    paths.map((path) => ({ path })),
    ({ path }) => asked.test(path),
  );
  const paths_ = files.map(({ path }) => path);
  return [paths_, [...beside].map(([stands, other]) => `${stands.path} + ${other.path}`)];
};

test("a raw and a rendered file of one folder and name are one shot, which the rendered one stands for", () => {
  expect(shots(["a/1.DNG", "a/1.jpg", "a/2.jpg", "b/1.dng"], /./)).toEqual([
    ["a/1.jpg", "a/2.jpg", "b/1.dng"],
    ["a/1.jpg + a/1.DNG"],
  ]);
});

test("the raw one stands for it where that alone is asked for", () => {
  expect(shots(["1.cr2", "1.jpg"], /cr2/)).toEqual([["1.cr2"], ["1.cr2 + 1.jpg"]]);
});

test("two rendered files are two shots", () => {
  expect(shots(["1.heic", "1.jpg"], /./)).toEqual([["1.heic", "1.jpg"], []]);
});
