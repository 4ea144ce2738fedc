import { expect, test } from "vitest";
import { type RecordedTags, recordedTags } from "../../test/recordedTags.ts";
import { iso } from "./iso.ts";

/** SensitivityType 1..7 names these tags [EXIF, SensitivityType]. */
const SOS = "StandardOutputSensitivity";
const REI = "RecommendedExposureIndex";
const SPEED = "ISOSpeed";

test("iso(tags) is PhotographicSensitivity", () => {
  const tags = recordedTags({ PhotographicSensitivity: "200", SensitivityType: "1", [SOS]: "100" });
  expect(iso(tags)).toEqual({ value: 200, from: "Exif PhotographicSensitivity" });
});

test.each([
  ["1", SOS],
  ["2", REI],
  ["3", SPEED],
  ["4", SOS],
  ["4", REI],
  ["5", SOS],
  ["5", SPEED],
  ["6", REI],
  ["6", SPEED],
  ["7", SOS],
  ["7", REI],
  ["7", SPEED],
])("iso(tags) of 65535 with SensitivityType %s is %s", (type, tag) => {
  const recorded = { PhotographicSensitivity: "65535", SensitivityType: type, [tag]: "102400" };
  expect(iso(recordedTags(recorded))).toEqual({ value: 102400, from: `Exif ${tag}` });
});

test.each<[string, RecordedTags]>([
  ["no other tag", {}],
  ["a tag that SensitivityType does not name", { SensitivityType: "2", [SOS]: "102400" }],
  ["a speed below what is saturated", { SensitivityType: "2", [REI]: "100" }],
])("iso(tags) of 65535 with %s is saturated", (_, tags) => {
  expect(iso(recordedTags({ PhotographicSensitivity: "65535", ...tags }))).toEqual({
    value: null,
    reason: "saturated",
    found: "65535",
  });
});

test.each<[RecordedTags, number | string]>([
  [{ PhotographicSensitivity: "0" }, "zero"],
  [{ PhotographicSensitivity: "0", SensitivityType: "2", [REI]: "800" }, 800],
  [{ PhotographicSensitivity: "0", [SPEED]: "400" }, 400],
  [{ SensitivityType: "1", [SOS]: "125" }, 125],
  [{ [REI]: "160" }, 160],
  [{ SensitivityType: "0", [SOS]: "125", [REI]: "160" }, 125],
  [{ PhotographicSensitivity: "65535", [REI]: "102400" }, 102400],
  [{ [SPEED]: "0" }, "zero"],
  [{}, "absent"],
  [{ PhotographicSensitivity: "-100" }, "negative"],
  [{ PhotographicSensitivity: "4294967295" }, "absurd"],
])("iso(%o) is %s", (tags, expected) => {
  const field = iso(recordedTags(tags));
  expect("reason" in field ? field.reason : field.value).toBe(expected);
});
