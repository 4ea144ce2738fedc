import { expect, test } from "vitest";
import { xmpFixture } from "../../test/xmpFixture.ts";
import { readExposure } from "../readExposure.ts";

const fieldsOf = (attributes: string, elements = "") =>
  readExposure(Buffer.from(xmpFixture(attributes, elements)));

test.each([
  ['exif:FNumber="28/10"', "aperture", 2.8],
  ['exif:FNumber="2.8"', "aperture", 2.8],
  ['exif:ApertureValue="4/1"', "aperture", 4],
  ['exif:ExposureTime="1/60"', "shutter", 1 / 60],
  ['exif:ExposureBiasValue="-2/3"', "compensation", -2 / 3],
  ['exif:ISOSpeedRatings="400"', "iso", 400],
  ['exifEX:PhotographicSensitivity="800"', "iso", 800],
  ['exif:MeteringMode="5"', "meteringPattern", "multi-segment"],
  ['exif:Flash="9"', "flashFired", true],
  ['exifEX:CompositeImage="3"', "composite", "captured"],
  ['tiff:Orientation="6"', "orientation", 6],
  ['tiff:Make="A &amp; B"', "make", "A & B"],
  ['tiff:Model="M"', "model", "M"],
  ['xmp:CreatorTool="Editor 1.0"', "software", "Editor 1.0"],
  ['exif:DateTimeOriginal="2024-05-31T18:04:09+02:00"', "capturedAt", "2024-05-31T18:04:09+02:00"],
  ['photoshop:DateCreated="2024-05-31T18:04:09"', "capturedAt", "2024-05-31T18:04:09"],
] as const)("XMP %s gives %s", async (attributes, name, value) => {
  const record = await fieldsOf(attributes);
  const property = attributes.slice(0, attributes.indexOf("="));
  expect(record[name]).toMatchObject({ value, from: `XMP ${property}` });
});

test("XMP gives the flash from its structure and the subject area from its array", async () => {
  const fired = await fieldsOf("", '<exif:Flash exif:Fired="False" exif:Mode="1"/>');
  expect(fired.flashFired).toEqual({ value: false, from: "XMP exif:Flash/exif:Fired" });
  const items = [10, 20, 30].map((number) => `<rdf:li>${number}</rdf:li>`).join("");
  const area = await fieldsOf(
    "",
    `<exif:SubjectArea><rdf:Seq>${items}</rdf:Seq></exif:SubjectArea>`,
  );
  expect(area.subjectArea.value).toEqual({ shape: "circle", x: 10, y: 20, diameter: 30 });
});

test.each([
  ['exif:FNumber="wide open"', "aperture", "not-a-number"],
  ['exif:FNumber="0/0"', "aperture", "zero-denominator"],
  ['exif:FNumber=""', "aperture", "not-a-number"],
  ['exif:MeteringMode="spot"', "meteringPattern", "not-a-number"],
  ['tiff:Make=" "', "make", "blank"],
] as const)("XMP %s leaves %s null: %s", async (attributes, name, reason) => {
  expect((await fieldsOf(attributes))[name]).toMatchObject({ value: null, reason });
});
