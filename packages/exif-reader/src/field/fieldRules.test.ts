import fc from "fast-check";
import { expect, test } from "vitest";
import { recordedTags } from "../../test/recordedTags.ts";
import { collectFields } from "../collectFields.ts";
import type { Field } from "../exposureRecord.ts";
import { ABSENT, firstUsable } from "./fieldRules.ts";

const fields: fc.Arbitrary<readonly Field<number>[]> = fc.array(
  fc.oneof(
    fc.constant(ABSENT),
    fc.record({ value: fc.constant(null), reason: fc.constantFrom("zero", "absurd") }),
    fc.record({ value: fc.nat(9), from: fc.constant("Exif FNumber") }),
  ),
);

test("firstUsable(fields) is the first value, else the first reason that says more than absent", () => {
  fc.assert(
    fc.property(fields, (given) => {
      const known = given.find(({ value }) => value !== null);
      const refused = given.find((field) => "reason" in field && field.reason !== "absent");
      expect(firstUsable(...given.map((field) => () => field))).toEqual(known ?? refused ?? ABSENT);
    }),
  );
});

test("firstUsable(fields) asks for none behind the first value", () => {
  fc.assert(
    fc.property(fields, (given) => {
      const asked: number[] = [];
      const asks = given.map((field, i) => () => {
        asked.push(i);
        return field;
      });
      firstUsable(...asks);
      const known = given.findIndex(({ value }) => value !== null);
      expect(asked).toHaveLength(known < 0 ? given.length : known + 1);
    }),
  );
});

test("collectFields(sources) takes a source that a file has not for one that says nothing", () => {
  const exif = recordedTags({ FNumber: "8", ExposureTime: "0/1" });
  const sidecar = recordedTags({ ExposureTime: "1/60" });
  const nothing = recordedTags({});
  expect(collectFields([exif, null, null, sidecar])).toEqual(
    collectFields([exif, nothing, nothing, sidecar]),
  );
  expect(collectFields([null])).toEqual(collectFields([nothing]));
});
