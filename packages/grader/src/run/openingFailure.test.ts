import { ExifError } from "@tonefall/exif-reader";
import { expect, test } from "vitest";
import { openingFailure } from "./openingFailure.ts";

test.each([
  ["EACCES", "cannot-read", "The file cannot be read (no permission to read it)"],
  ["ENOENT", "no-such-file", "There is no such file or folder; check the path"],
])("openingFailure(error) of a reader that met %s says what to do", (code, as, message) => {
  const cause = Object.assign(new Error(code), { code, syscall: "open", path: "nowhere/a.jpg" });
  const error = new ExifError("EXIF_CANNOT_READ", "Expected a readable file", { cause });
  expect(openingFailure(error)).toEqual({ code: as, message });
});

test("openingFailure(error) keeps the reader's own sentence for anything else", () => {
  const error = new ExifError("EXIF_EMPTY_FILE", "Expected a picture for a.jpg");
  expect(openingFailure(error)).toEqual({
    code: "empty-file",
    message: "Expected a picture for a.jpg",
  });
});
