import { describe, expect, test } from "vitest";
import { xmpFixture } from "../../test/xmpFixture.ts";
import { itemsOf, parseXmp } from "./parseXmp.ts";

const entries = (text: string) => Object.fromEntries(parseXmp(text));

describe("parseXmp(text) reads", () => {
  test("attributes and elements alike", () => {
    expect(entries(xmpFixture('exif:FNumber="28/10"'))).toEqual({ "exif:FNumber": ["28/10"] });
    expect(entries(xmpFixture("", "<exif:FNumber>28/10</exif:FNumber>"))).toEqual({
      "exif:FNumber": ["28/10"],
    });
  });

  test("arrays in order", () => {
    const seq = "<rdf:Seq><rdf:li>400</rdf:li><rdf:li>800</rdf:li></rdf:Seq>";
    const packet = xmpFixture("", `<exif:ISOSpeedRatings>${seq}</exif:ISOSpeedRatings>`);
    expect(entries(packet)).toEqual({ "exif:ISOSpeedRatings": ["400", "800"] });
  });

  test.each([
    [
      "parseType",
      '<exif:Flash rdf:parseType="Resource"><exif:Fired>True</exif:Fired></exif:Flash>',
    ],
    ["attributes", '<exif:Flash exif:Fired="True"/>'],
    ["a description", '<exif:Flash><rdf:Description exif:Fired="True"/></exif:Flash>'],
    [
      "a description with elements",
      "<exif:Flash><rdf:Description><exif:Fired>True</exif:Fired></rdf:Description></exif:Flash>",
    ],
  ])("structures written as %s", (_, element) => {
    expect(entries(xmpFixture("", element))).toEqual({ "exif:Flash/exif:Fired": ["True"] });
  });

  test("namespaces by what they name, whatever the prefix, with inner declarations first", () => {
    const packet = `<r:RDF xmlns:r="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
      <r:Description xmlns:e="http://ns.adobe.com/exif/1.0/" xmlns:exif="urn:other"
        e:FNumber="2" exif:FNumber="3">
        <exif:ExposureTime xmlns:exif="http://ns.adobe.com/exif/1.0/">1/2</exif:ExposureTime>
      </r:Description></r:RDF>`;
    expect(entries(packet)).toEqual({ "exif:FNumber": ["2"], "exif:ExposureTime": ["1/2"] });
  });

  test("nothing from other namespaces, and nothing below their properties", () => {
    const inside =
      '<o:History xmlns:o="urn:other"><rdf:Seq><rdf:li exif:FNumber="9"/></rdf:Seq></o:History>';
    expect(entries(xmpFixture('exif:FNumber="2"', inside))).toEqual({ "exif:FNumber": ["2"] });
    expect(entries(xmpFixture("", inside))).toEqual({});
  });

  test("a structure from its first statement alone", () => {
    const twice = '<exif:Flash exif:Fired="True"/><exif:Flash exif:Mode="1"/>';
    expect(entries(xmpFixture("", twice))).toEqual({ "exif:Flash/exif:Fired": ["True"] });
  });

  test("structures in an array by their number", () => {
    const items = ["a", "b"].map(
      (name) => `<rdf:li rdf:parseType="Resource"><mwg-rs:Name>${name}</mwg-rs:Name></rdf:li>`,
    );
    const list = `<mwg-rs:RegionList><rdf:Bag>${items.join("")}</rdf:Bag></mwg-rs:RegionList>`;
    const properties = parseXmp(xmpFixture("", list));
    expect(itemsOf(properties, "mwg-rs:RegionList").map((item) => item.get("mwg-rs:Name"))).toEqual(
      [["a"], ["b"]],
    );
  });

  test("the first statement only, and at most eight items of an array", () => {
    const twice = "<exif:FNumber>2</exif:FNumber><exif:FNumber>4</exif:FNumber>";
    expect(entries(xmpFixture("", twice))).toEqual({ "exif:FNumber": ["2"] });
    const many = `<exif:SubjectArea><rdf:Seq>${"<rdf:li>1</rdf:li>".repeat(100)}</rdf:Seq></exif:SubjectArea>`;
    expect(parseXmp(xmpFixture("", many)).get("exif:SubjectArea")).toHaveLength(8);
  });
});

test("parseXmp(text) expands no bomb of entities", () => {
  const levels = Array.from({ length: 12 }, (_, level) => {
    const inner = level === 0 ? "boom" : `&e${level - 1};`.repeat(10);
    return `<!ENTITY e${level} "${inner}">`;
  });
  const bomb = `<!DOCTYPE x [${levels.join("")}]>${xmpFixture("", "<exif:FNumber>&e11;</exif:FNumber>")}`;
  let longest = 0;
  try {
    longest = Math.max(...[...parseXmp(bomb).values()].flat().map((text) => text.length));
  } catch (error) {
    expect(error).toBeInstanceOf(Error); // refusing it is as good as leaving it unexpanded
  }
  expect(longest).toBeLessThan(200_000);
});
