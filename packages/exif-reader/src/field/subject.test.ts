import { describe, expect, test } from "vitest";
import { recordedTags } from "../../test/recordedTags.ts";
import { subjectArea, subjectLocation } from "./subject.ts";

describe("subjectArea(tags)", () => {
  test.each([
    ["100 200", { shape: "point", x: 100, y: 200 }],
    ["100 200 50", { shape: "circle", x: 100, y: 200, diameter: 50 }],
    ["1632 1224 320 384", { shape: "rectangle", x: 1632, y: 1224, width: 320, height: 384 }],
  ])("reads %s as %o", (found, value) => {
    expect(subjectArea(recordedTags({ SubjectArea: found }))).toEqual({
      value,
      from: "Exif SubjectArea",
    });
  });

  test("takes x and y for the centre: real areas by default lie in the middle of their frame", () => {
    const area = subjectArea(recordedTags({ SubjectArea: "1632 1224 320 384" })).value;
    expect([area?.x, area?.y]).toEqual([3264 / 2, 2448 / 2]);
  });

  test.each([
    ["100", "wrong-type"],
    ["1 2 3 4 5", "wrong-type"],
    ["0 0 0 0", "zero"],
    ["100 200 0", "zero"],
    ["100 200 0 10", "zero"],
    ["100 -200", "negative"],
    ["100 4294967295", "absurd"],
    ["100 1/0", "zero-denominator"],
  ])("refuses %s: %s", (found, reason) => {
    expect(subjectArea(recordedTags({ SubjectArea: found }))).toEqual({
      value: null,
      reason,
      found,
    });
  });
});

test("subjectLocation(tags) is a column and a row", () => {
  const location = (found: string) => subjectLocation(recordedTags({ SubjectLocation: found }));
  expect(location("2015 1511").value).toEqual({ x: 2015, y: 1511 });
  expect(location("2015")).toMatchObject({ reason: "wrong-type" });
  expect(location("0 0")).toMatchObject({ reason: "zero" });
});
