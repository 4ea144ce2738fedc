import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  box,
  exifSegment,
  heifFixture,
  jpegFixture,
  numbers,
  pngFixture,
  pngText,
  rawProfile,
  webpFixture,
  xmpSegment,
} from "../test/containerFixtures.ts";
import { iptcRegionsXmp, keywordsXmp, mwgRegionsXmp } from "../test/marksFixture.ts";
import { type FixtureTag, tiffFixture } from "../test/tiffFixture.ts";
import { xmpFixture } from "../test/xmpFixture.ts";
import { ExifError } from "./errors.ts";
import type { ExposureRecord } from "./exposureRecord.ts";
import { readExposure } from "./readExposure.ts";

const TAGS: FixtureTag[] = [
  [0x829a, "RATIONAL", [[1, 60]]],
  [0x829d, "RATIONAL", [[56, 10]]],
  [0x8827, "SHORT", [200]],
  [0x9207, "SHORT", [5]],
  [0x9214, "SHORT", [10, 20, 30, 40]],
];
const EXIF = tiffFixture({ ifd0: [[0x10f, "ASCII", "Maker of cameras"]], exif: TAGS });
const XMP = xmpFixture('exif:MeteringMode="3"', '<exif:Flash exif:Fired="True"/>');

const MARKS = xmpFixture(
  "",
  keywordsXmp("tonefall:place=snow") +
    iptcRegionsXmp({
      boundary: { rbShape: "polygon", rbUnit: "relative" },
      vertices: [
        [0, 0],
        [1, 0],
        [1, 1],
      ],
    }) +
    mwgRegionsXmp([{ type: "Focus", name: "bow", area: { x: 0.5, y: 0.5, d: 0.2 } }]),
);

const FILES: readonly (readonly [string, Uint8Array])[] = [
  ["JPEG", jpegFixture(exifSegment(EXIF), xmpSegment(XMP))],
  ["TIFF", EXIF],
  ["PNG", pngFixture(["eXIf", EXIF], ["iTXt", pngText("iTXt", "XML:com.adobe.xmp", XMP)])],
  [
    "old PNG",
    pngFixture(["zTXt", pngText("zTXt", "Raw profile type exif", rawProfile("exif", EXIF))]),
  ],
  ["WebP", webpFixture(["EXIF", EXIF], ["XMP ", Buffer.from(XMP)])],
  ["HEIC", heifFixture("heic", { exif: EXIF, xmp: XMP })],
  ["XMP", Buffer.from(XMP)],
  ["XMP with keywords and regions", Buffer.from(MARKS)],
];

/** A record, or undefined for a clean refusal; anything else fails the test. */
async function recordOf(bytes: Uint8Array): Promise<ExposureRecord | undefined> {
  try {
    return await readExposure(bytes);
  } catch (error) {
    expect(error).toBeInstanceOf(ExifError);
    return undefined;
  }
}

/** Every field is a value with an origin or null with a reason, and every number is finite. */
function expectSound(record: ExposureRecord | undefined): void {
  if (record === undefined) return;
  const { format, notes, ...fields } = record;
  for (const field of Object.values(fields)) {
    if ("reason" in field) expect(field.value).toBeNull();
    else expect(field.from).toMatch(/^(Exif|XMP) /);
    if (typeof field.value === "number") expect(Number.isFinite(field.value)).toBe(true);
  }
}

describe.each(FILES)("a damaged %s", (_, bytes) => {
  test("gives a record while it is whole", async () => {
    const record = await recordOf(bytes);
    expect(record).toBeDefined();
    expectSound(record);
  });

  test("cut off anywhere gives a record or a clean refusal", async () => {
    for (let length = 1; length < bytes.length; length++) {
      expectSound(await recordOf(bytes.slice(0, length)));
    }
  });

  test("with any bytes changed gives a record or a clean refusal", async () => {
    const change = fc.tuple(fc.nat(bytes.length - 1), fc.integer({ min: 0, max: 255 }));
    await fc.assert(
      fc.asyncProperty(fc.array(change, { minLength: 1, maxLength: 8 }), async (changes) => {
        const damaged = bytes.slice();
        for (const [at, value] of changes) damaged[at] = value;
        expectSound(await recordOf(damaged));
      }),
      { numRuns: 300 },
    );
  });
});

test("a directory that points to itself is read once", async () => {
  const bytes = tiffFixture({
    ifd0: [
      [0x112, "SHORT", [6]],
      [0x8769, "LONG", [8]],
    ],
  });
  expect((await readExposure(bytes)).orientation.value).toBe(6);
});

test("a claim of four thousand million values costs nothing", async () => {
  const bytes = tiffFixture({
    exif: [
      [0x9214, "SHORT", [1, 2, 3, 4]],
      [0x9207, "SHORT", [5]],
    ],
  });
  const view = new DataView(bytes.buffer);
  const at = bytes.findIndex((byte, index) => byte === 0x14 && bytes[index + 1] === 0x92);
  view.setUint32(at + 4, 0xffffffff, true);
  const record = await readExposure(bytes);
  expect(record.subjectArea).toMatchObject({ reason: "beyond-end" });
  expect(record.meteringPattern.value).toBe("multi-segment");
});

test("a compressed text that would inflate without end is refused", async () => {
  const zeros = pngText("zTXt", "Raw profile type exif", "0".repeat(2 ** 24));
  const { notes } = await readExposure(pngFixture(["zTXt", zeros]));
  expect(notes.map(({ code }) => code)).toContain("container-malformed");
});

test("item tables that repeat parts of no size are refused", async () => {
  const infe = box("infe", numbers([2 << 24, 4], [3, 2], [0, 2]), Buffer.from("Exif\0"));
  const location = numbers([3, 2], [0, 2], [0xffff, 2]);
  const meta = box(
    "meta",
    numbers([0, 4]),
    box("iinf", numbers([0, 4], [1, 2]), infe),
    box("iloc", numbers([0, 4], [0, 2], [1, 2]), location),
  );
  const { notes } = await readExposure(
    Buffer.concat([box("ftyp", Buffer.from("heic\0\0\0\0")), meta]),
  );
  expect(notes.map(({ code }) => code)).toContain("container-malformed");
});
