import { expect, test } from "vitest";
import { type RecordedTags, recordedTags } from "../../test/recordedTags.ts";
import { capturedAt } from "./capturedAt.ts";

const TIME = "2024:05:31 18:04:09";

test.each<[RecordedTags, string]>([
  [{ DateTimeOriginal: TIME }, "2024-05-31T18:04:09"],
  [{ DateTimeOriginal: TIME, SubSecTimeOriginal: "25" }, "2024-05-31T18:04:09.25"],
  [{ DateTimeOriginal: TIME, OffsetTimeOriginal: "+09:00" }, "2024-05-31T18:04:09+09:00"],
  [{ DateTimeOriginal: TIME, OffsetTimeOriginal: "nowhere" }, "2024-05-31T18:04:09"],
  [{ DateTimeOriginal: "2024-05-31T18:04:09.25+0200" }, "2024-05-31T18:04:09.25+02:00"],
  [{ DateTimeOriginal: "2024-05-31T18:04Z" }, "2024-05-31T18:04:00Z"],
  [{ DateTimeDigitized: TIME, SubSecTimeDigitized: "7" }, "2024-05-31T18:04:09.7"],
  [{ DateTimeOriginal: "0000:00:00 00:00:00", DateTimeDigitized: TIME }, "2024-05-31T18:04:09"],
])("capturedAt(%o) is %s", (tags, expected) => {
  expect(capturedAt(recordedTags(tags)).value).toBe(expected);
});

test.each([
  ["0000:00:00 00:00:00", "unknown"],
  [":  :     :  :", "unknown"],
  ["2023:02:29 10:00:00", "malformed"],
  ["2023:13:01 10:00:00", "malformed"],
  ["2023:12:01 24:00:00", "malformed"],
  ["last Tuesday", "malformed"],
])("capturedAt(tags) of %s is %s", (text, reason) => {
  expect(capturedAt(recordedTags({ DateTimeOriginal: text }))).toMatchObject({ reason });
});
