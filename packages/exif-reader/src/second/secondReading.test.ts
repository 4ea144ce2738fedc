import { describe, expect, test, vi } from "vitest";
import {
  exifSegment,
  jpegFixture,
  pngFixture,
  pngText,
  rawProfile,
  webpFixture,
  xmpSegment,
} from "../../test/containerFixtures.ts";
import { type FixtureTag, tiffFixture } from "../../test/tiffFixture.ts";
import { xmpFixture } from "../../test/xmpFixture.ts";
import { readExposure } from "../readExposure.ts";
import { compareReadings } from "./compareReadings.ts";
import { secondReading } from "./secondReading.ts";

/** How often exifr has been loaded; it is the true one all the same. */
const loads = vi.hoisted(() => ({ count: 0 }));
vi.mock("exifr", async (original) => {
  loads.count += 1;
  return original();
});

const SETTINGS: FixtureTag[] = [
  [0x829a, "RATIONAL", [[1, 60]]],
  [0x829d, "RATIONAL", [[56, 10]]],
  [0x8827, "SHORT", [400]],
  [0x9204, "SRATIONAL", [[-2, 3]]],
  [0x9207, "SHORT", [3]],
];

/** The settings with some tags in place of those of the same code. */
const settings = (...others: FixtureTag[]): FixtureTag[] => [
  ...SETTINGS.filter(([code]) => others.every((other) => other[0] !== code)),
  ...others,
];

const jpegOf = (...others: FixtureTag[]): Uint8Array =>
  jpegFixture(exifSegment(tiffFixture({ exif: settings(...others) })));

async function comparisonOf(bytes: Uint8Array) {
  const { fields } = compareReadings(await readExposure(bytes), await secondReading(bytes));
  return fields;
}

test("exifr is loaded by the first second reading and by nothing before it", async () => {
  await readExposure(jpegOf());
  expect(loads.count).toBe(0);
  await secondReading(jpegOf());
  expect(loads.count).toBe(1);
});

describe("secondReading(bytes) gives what is recorded in", () => {
  const written = {
    aperture: 56 / 10,
    shutter: 1 / 60,
    iso: 400,
    compensation: -2 / 3,
    meteringPattern: "spot",
  };
  const exif = tiffFixture({ exif: SETTINGS });
  test.each([
    ["JPEG", jpegOf()],
    ["TIFF", exif],
    ["big-endian TIFF", tiffFixture({ exif: SETTINGS, littleEndian: false })],
    ["TIFF with Exif tags in its first directory", tiffFixture({ ifd0: SETTINGS })],
    ["PNG eXIf", pngFixture(["eXIf", exif])],
  ])("%s", async (_, bytes) => {
    expect(await secondReading(bytes)).toEqual({ reader: "exifr", answers: written });
    const fields = Object.values((await comparisonOf(bytes)) ?? {});
    expect(fields.map(({ agreement, why }) => [agreement, why])).toEqual(
      fields.map(() => ["agrees", null]),
    );
    expect(fields).toHaveLength(5);
  });
});

test("a file that exifr cannot read has no answers, and nothing is compared", async () => {
  const bytes = webpFixture(["EXIF", tiffFixture({ exif: SETTINGS })]);
  const reading = await secondReading(bytes);
  expect(reading).toEqual({ reader: "exifr", answers: null });
  expect(compareReadings(await readExposure(bytes), reading).fields).toBeNull();
});

test("fractions over 0 and codes without a meaning are no numbers and no known pattern", async () => {
  const bytes = jpegOf([0x829d, "RATIONAL", [[0, 0]]], [0x9207, "SHORT", [77]]);
  const { answers } = await secondReading(bytes);
  expect(answers).toMatchObject({ aperture: null, meteringPattern: "other" });
});

describe("compareReadings(record, second) says how the two differ, and why", () => {
  const apexAperture: FixtureTag = [0x9202, "RATIONAL", [[4, 1]]];
  test.each<[string, Uint8Array, string, object]>([
    [
      "an aperture of 0 beside its APEX value",
      jpegOf([0x829d, "RATIONAL", [[0, 10]]], apexAperture),
      "aperture",
      { value: 0, agreement: "differs", why: { code: "apex" } },
    ],
    [
      "an APEX value alone",
      jpegFixture(exifSegment(tiffFixture({ exif: [apexAperture, [0x8827, "SHORT", [400]]] }))),
      "aperture",
      { value: null, agreement: "only-first", why: { code: "apex" } },
    ],
    [
      "a saturated ISO beside the wide tag",
      jpegOf([0x8827, "SHORT", [65535]], [0x8830, "SHORT", [3]], [0x8833, "LONG", [102400]]),
      "iso",
      { value: 65535, agreement: "differs", why: { code: "iso-tag" } },
    ],
    [
      "compensation beyond what cameras offer",
      jpegOf([0x9204, "SRATIONAL", [[154, 10]]]),
      "compensation",
      { value: 15.4, agreement: "only-second", why: { code: "refused" } },
    ],
    [
      "a setting in XMP alone",
      jpegFixture(
        exifSegment(tiffFixture({ exif: [[0x8827, "SHORT", [400]]] })),
        xmpSegment(xmpFixture('exif:FNumber="4/1"')),
      ),
      "aperture",
      { value: null, agreement: "only-first", why: { code: "other-source" } },
    ],
    [
      "XMP in place of an unusable value",
      jpegFixture(
        exifSegment(tiffFixture({ exif: [[0x829d, "RATIONAL", [[0, 10]]]] })),
        xmpSegment(xmpFixture('exif:FNumber="4/1"')),
      ),
      "aperture",
      { value: 0, agreement: "differs", why: { code: "other-source" } },
    ],
    [
      "Exif in a place where exifr does not look",
      pngFixture([
        "zTXt",
        pngText(
          "zTXt",
          "Raw profile type exif",
          rawProfile(
            "exif",
            Buffer.concat([Buffer.from("Exif\0\0"), tiffFixture({ exif: SETTINGS })]),
          ),
        ),
      ]),
      "meteringPattern",
      { value: null, agreement: "only-first", why: { code: "nothing-found" } },
    ],
    ["neither", jpegFixture(), "iso", { value: null, agreement: "neither", why: null }],
  ])("%s", async (_, bytes, setting, expected) => {
    const fields = await comparisonOf(bytes);
    expect(Object(fields)[setting]).toMatchObject(expected);
  });

  test("a difference that no tag explains", async () => {
    const record = await readExposure(jpegOf());
    const { answers } = await secondReading(jpegOf());
    const other = { reader: "exifr", answers: answers && { ...answers, iso: 401 } } as const;
    expect(compareReadings(record, other).fields?.iso).toMatchObject({
      value: 401,
      agreement: "differs",
      why: { code: "not-known" },
    });
  });
});
