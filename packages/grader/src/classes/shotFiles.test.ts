import { expect, test } from "vitest";
import { shotsOf } from "./shotFiles.ts";

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

test("HEIF and JPEG of one name are one shot, which the JPEG stands for unless the HEIF alone is asked for", () => {
  const both = ["1.HEIC", "1.JPG", "2.hif", "3.jpeg"];
  expect(shots(both, /./)).toEqual([["1.JPG", "2.hif", "3.jpeg"], ["1.JPG + 1.HEIC"]]);
  expect(shots(both, /HEIC|hif/)).toEqual([["1.HEIC", "2.hif", "3.jpeg"], ["1.HEIC + 1.JPG"]]);
});

test("two other rendered files are two shots", () => {
  expect(shots(["1.png", "1.jpg"], /./)).toEqual([["1.png", "1.jpg"], []]);
});
