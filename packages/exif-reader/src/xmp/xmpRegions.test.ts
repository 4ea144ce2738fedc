import { describe, expect, test } from "vitest";
import {
  type IptcFixture,
  iptcKind,
  iptcRegionsXmp,
  keywordsXmp,
  type MwgFixture,
  mwgRegionsXmp,
} from "../../test/marksFixture.ts";
import { xmpFixture } from "../../test/xmpFixture.ts";
import { readExposure } from "../readExposure.ts";

const record = (elements: string) => readExposure(Buffer.from(xmpFixture("", elements)));
const regionsOf = async (elements: string) => (await record(elements)).regions;
const RECTANGLE = {
  rbShape: "rectangle",
  rbUnit: "relative",
  rbX: 0.1,
  rbY: 0.2,
  rbW: 0.3,
  rbH: 0.4,
};
const AREA = { x: 0.5, y: 0.5, w: 0.2, h: 0.2 };

describe("IPTC image regions", () => {
  const boundaryOf = async (region: IptcFixture) =>
    (await regionsOf(iptcRegionsXmp(region))).value?.[0];

  test("a rectangle stands by its top left corner", async () => {
    expect(await regionsOf(iptcRegionsXmp({ boundary: RECTANGLE, name: "hull" }))).toEqual({
      value: [
        {
          standard: "iptc",
          name: "hull",
          unit: "relative",
          radiusOf: "width",
          appliedTo: null,
          boundary: { shape: "rectangle", x: 0.1, y: 0.2, width: 0.3, height: 0.4 },
        },
      ],
      from: "XMP Iptc4xmpExt:ImageRegion",
    });
  });

  test("a circle stands by its centre and its radius, here in pixels", async () => {
    const boundary = { rbShape: "circle", rbUnit: "pixel", rbX: 10, rbY: 20, rbRx: 5.5 };
    expect(await boundaryOf({ boundary })).toMatchObject({
      name: null,
      unit: "pixel",
      boundary: { shape: "circle", x: 10, y: 20, radius: 5.5 },
    });
  });

  test("a polygon keeps its corners in order, and one corner is a point", async () => {
    const boundary = { rbShape: "polygon", rbUnit: "relative" };
    const corners = [
      [0.1, 0.1],
      [0.9, 0.2],
      [0.5, 0.8],
    ] as const;
    expect((await boundaryOf({ boundary, vertices: corners }))?.boundary).toEqual({
      shape: "polygon",
      points: corners.map(([x, y]) => ({ x, y })),
    });
    expect((await boundaryOf({ boundary, vertices: [[0.3, 0.4]] }))?.boundary).toEqual({
      shape: "point",
      x: 0.3,
      y: 0.4,
    });
  });

  test.each<[string, IptcFixture, string]>([
    ["nothing in them", { boundary: {} }, "malformed"],
    [
      "no unit",
      { boundary: { rbShape: "rectangle", rbX: 0, rbY: 0, rbW: 1, rbH: 1 } },
      "malformed",
    ],
    ["a unit of its own", { boundary: { ...RECTANGLE, rbUnit: "percent" } }, "malformed"],
    ["another shape", { boundary: { ...RECTANGLE, rbShape: "star" } }, "malformed"],
    ["a word for a number", { boundary: { ...RECTANGLE, rbX: "left" } }, "malformed"],
    ["not a number", { boundary: { ...RECTANGLE, rbX: "NaN" } }, "malformed"],
    ["no end", { boundary: { ...RECTANGLE, rbW: "1e999" } }, "absurd"],
    ["no width", { boundary: { ...RECTANGLE, rbW: 0 } }, "zero"],
    ["a height below nothing", { boundary: { ...RECTANGLE, rbH: -0.1 } }, "negative"],
    ["a place beyond all pictures", { boundary: { ...RECTANGLE, rbX: 1e9 } }, "absurd"],
    [
      "a corner half there",
      {
        boundary: { rbShape: "polygon", rbUnit: "relative" },
        vertices: [
          [0, 0],
          ["", 1],
          [1, 0],
          [1, 1],
        ],
      },
      "malformed",
    ],
    [
      "an empty corner at the end",
      {
        boundary: { rbShape: "polygon", rbUnit: "relative" },
        vertices: [
          [0, 0],
          [1, 0],
          [1, 1],
          ["", ""],
        ],
      },
      "malformed",
    ],
    [
      "two corners",
      {
        boundary: { rbShape: "polygon", rbUnit: "relative" },
        vertices: [
          [0, 0],
          [1, 1],
        ],
      },
      "malformed",
    ],
    [
      "corners without end",
      {
        boundary: { rbShape: "polygon", rbUnit: "relative" },
        vertices: Array.from({ length: 5000 }, (_, index) => [index / 5000, index % 2] as const),
      },
      "absurd",
    ],
  ])("with %s are kept as unusable", async (_, region, reason) => {
    const kept = await boundaryOf(region);
    expect(kept?.boundary).toEqual({ shape: "unusable", reason });
  });
});

describe("regions of the Metadata Working Group", () => {
  const regionOf = async (region: MwgFixture) =>
    (await regionsOf(mwgRegionsXmp([region], { w: 600, h: 400 }))).value?.[0];

  test("stand by their centre, with the size they apply to", async () => {
    const bow = { type: "Focus", name: "bow", area: { x: 0.5, y: 0.25, w: 0.25, h: 0.5 } };
    expect(await regionsOf(mwgRegionsXmp([bow], { w: 600, h: 400 }))).toEqual({
      value: [
        {
          standard: "mwg",
          name: "bow",
          unit: "relative",
          radiusOf: "smaller-side",
          appliedTo: { width: 600, height: 400 },
          boundary: { shape: "rectangle", x: 0.375, y: 0, width: 0.25, height: 0.5 },
        },
      ],
      from: "XMP mwg-rs:Regions",
    });
  });

  test("have a diameter where they are circles, and nothing where they are points", async () => {
    const circle = await regionOf({ area: { x: 0.5, y: 0.5, d: 0.3 } });
    expect(circle?.boundary).toEqual({ shape: "circle", x: 0.5, y: 0.5, radius: 0.15 });
    const point = await regionOf({ area: { x: 0.5, y: 0.5 } });
    expect(point?.boundary).toEqual({ shape: "point", x: 0.5, y: 0.5 });
  });

  test.each([
    ["no height", { x: 0.5, y: 0.5, w: 0.2 }, "malformed"],
    ["no centre", { w: 0.2, h: 0.2 }, "malformed"],
    ["a diameter of nothing", { x: 0.5, y: 0.5, d: 0 }, "zero"],
    ["a unit of its own", { ...AREA, unit: "inch" }, "malformed"],
  ])("with %s are kept as unusable", async (_, area, reason) => {
    const kept = await regionOf({ area });
    expect(kept?.boundary).toEqual({ shape: "unusable", reason });
  });
});

describe("nobody's likeness or name is told", () => {
  const PEOPLE = /Ada|Bea|Rex/;
  const people = element("Iptc4xmpExt:PersonInImage", "Ada");

  function element(name: string, item: string): string {
    return `<${name}><rdf:Bag><rdf:li>${item}</rdf:li></rdf:Bag></${name}>`;
  }

  test.each([
    ["a face", mwgRegionsXmp([{ type: "Face", name: "Ada", area: AREA }])],
    ["a face in other letters", mwgRegionsXmp([{ type: " FACE ", name: "Ada", area: AREA }])],
    ["a face without a name", mwgRegionsXmp([{ type: "Face", area: AREA }])],
    [
      "an IPTC region of somebody without a name",
      iptcRegionsXmp({ boundary: RECTANGLE, more: iptcKind("imageregiontype:human") }),
    ],
    ["a pet", mwgRegionsXmp([{ type: "Pet", name: "Rex", area: AREA }])],
    ...["human", "face", "headshot", "bodyPart"].map((kind) => [
      `an IPTC region of the kind ${kind}`,
      iptcRegionsXmp({
        boundary: RECTANGLE,
        name: "Ada",
        more: iptcKind(`http://cv.iptc.org/newscodes/imageregiontype/${kind}`),
      }),
    ]),
    [
      "an IPTC region with a person",
      iptcRegionsXmp({ boundary: RECTANGLE, name: "x", more: people }),
    ],
    [
      "an IPTC region that has a person's name",
      people + iptcRegionsXmp({ boundary: RECTANGLE, name: "Ada" }),
    ],
    [
      "a region that has the name of a face",
      mwgRegionsXmp([
        { type: "Focus", name: "Bea", area: AREA },
        { type: "Face", name: "Bea", area: AREA },
      ]),
    ],
  ])("%s is left out", async (_, elements) => {
    const { regions, ...others } = await record(elements);
    expect(regions).toEqual({ value: null, reason: "absent" });
    expect(JSON.stringify(others)).not.toMatch(PEOPLE);
  });

  test("a region of no stated kind keeps its place and not its name", async () => {
    const { value } = await regionsOf(mwgRegionsXmp([{ name: "Ada", area: AREA }]));
    expect(value).toMatchObject([{ name: null, boundary: { shape: "rectangle" } }]);
  });

  test("a second list is not read, nor mixed with the first", async () => {
    const first = mwgRegionsXmp([{ type: "Focus", area: AREA }]);
    const second = mwgRegionsXmp([
      { type: "Face", name: "Ada", area: AREA },
      { type: "Focus", name: "bow", area: AREA },
    ]);
    const { value } = await regionsOf(first + second);
    expect(value).toMatchObject([{ name: null }]);
    expect(value).toHaveLength(1);
  });

  test("keywords are our own alone, each once, whatever their case", async () => {
    const elements = keywordsXmp(
      "Ada",
      "tonefall:place=snow",
      "Tonefall:Region=spot",
      "tonefall:place=snow",
    );
    const { keywords, ...others } = await record(elements);
    expect(keywords).toMatchObject({
      value: ["tonefall:place=snow", "Tonefall:Region=spot"],
      from: "XMP dc:subject",
    });
    expect(JSON.stringify([keywords, others])).not.toMatch(PEOPLE);
    expect((await record(keywordsXmp("Ada", "a tonefall: of sorts"))).keywords).toEqual({
      value: null,
      reason: "absent",
    });
  });
});

test("regions of both forms stand in one list, IPTC's first, sixty-four at most", async () => {
  const many = Array.from({ length: 80 }, () => ({ boundary: RECTANGLE }));
  const both =
    mwgRegionsXmp([{ type: "Focus", area: AREA }]) + iptcRegionsXmp({ boundary: RECTANGLE });
  expect(await regionsOf(both)).toMatchObject({
    value: [{ standard: "iptc" }, { standard: "mwg" }],
    from: "XMP Iptc4xmpExt:ImageRegion, mwg-rs:Regions",
  });
  expect((await regionsOf(iptcRegionsXmp(...many))).value).toHaveLength(64);
});

test("a keyword beyond all reason makes none of them count", async () => {
  const corners = Array.from({ length: 200 }, (_, index) => `0.${index} 0.5`).join(" ");
  const { keywords } = await record(
    keywordsXmp("tonefall:place=0", `tonefall:region=polygon:${corners}`),
  );
  expect(keywords).toEqual({ value: null, reason: "absurd" });
});

test("a picture with marks alone still records nothing about its exposure", async () => {
  const { notes } = await record(keywordsXmp("tonefall:place=snow"));
  expect(notes.map(({ code }) => code)).toEqual(["no-metadata"]);
});
