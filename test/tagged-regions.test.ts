import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { type FrameResult, gradeFrame } from "@tonefall/grader";
import { describe, expect, test } from "vitest";
import { iptcRegionsXmp, mwgRegionsXmp } from "../packages/exif-reader/test/marksFixture.ts";
import { xmpFixture } from "../packages/exif-reader/test/xmpFixture.ts";
import { exifTool } from "./outside.mjs";
import { flat, newFolder } from "./pictures.ts";
import { HEIGHT, INSIDE, taggedPicture, WIDTH } from "./taggedPictures.ts";

/** Stops of the marked part, by the sRGB curve. */
const INSIDE_STOPS = Math.log2(((INSIDE / 255 + 0.055) / 1.055) ** 2.4 / 0.18);
/** A tally's bins are 0.003 stop wide at most. */
const BIN_STOPS = 0.003;

type IsInside = (x: number, y: number) => boolean;

const published = (id: string) => {
  const file = new URL("./reference/published-values.json", import.meta.url);
  const table = JSON.parse(readFileSync(file, "utf8")) as {
    id: string;
    inputs: Record<string, number>;
    expected: number[];
  }[];
  return table.find((entry) => entry.id === id) as (typeof table)[number];
};
const iptcExample = published("iptc.region.example");
const mwgExample = published("mwg.region.example");

/** Inside a rectangle of fractions of the stored picture. */
const between =
  (left: number, top: number, right: number, bottom: number): IsInside =>
  (x, y) =>
    x > left * WIDTH && x < right * WIDTH && y > top * HEIGHT && y < bottom * HEIGHT;
const within =
  (centreX: number, centreY: number, radius: number): IsInside =>
  (x, y) =>
    Math.hypot(x - centreX, y - centreY) < radius;
/** Left of every side of a polygon whose corners go round clockwise, y pointing down. */
const insideCorners =
  (corners: readonly (readonly [number, number])[]): IsInside =>
  (x, y) =>
    corners.every(([ax, ay], index) => {
      const [bx, by] = corners[(index + 1) % corners.length] as readonly [number, number];
      return (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0;
    });

const relative = (rbShape: string, members: object) => ({
  rbShape,
  rbUnit: "relative",
  ...members,
});
const CORNERS = [
  [0.1, 0.1],
  [0.9, 0.15],
  [0.45, 0.85],
] as const;
const [mwgLeft = 0, mwgTop = 0] = mwgExample.expected;
const { w: mwgWidth = 0, h: mwgHeight = 0 } = mwgExample.inputs;

const MARKS: readonly { name: string; elements: string; inside: IsInside; attributes?: string }[] =
  [
    {
      name: "the published IPTC rectangle",
      elements: iptcRegionsXmp({ boundary: relative("rectangle", iptcExample.inputs) }),
      inside: between(...(iptcExample.expected as [number, number, number, number])),
    },
    {
      name: "the published MWG rectangle",
      elements: mwgRegionsXmp([{ type: "Focus", area: mwgExample.inputs }], { w: 6000, h: 4000 }),
      inside: between(mwgLeft, mwgTop, mwgLeft + mwgWidth, mwgTop + mwgHeight),
    },
    {
      name: "an IPTC circle, its radius in widths",
      elements: iptcRegionsXmp({ boundary: relative("circle", { rbX: 0.4, rbY: 0.5, rbRx: 0.2 }) }),
      inside: within(24, 20, 12),
    },
    {
      name: "an MWG circle, its diameter in smaller sides",
      elements: mwgRegionsXmp([{ area: { x: 0.4, y: 0.5, d: 0.5 } }]),
      inside: within(24, 20, 10),
    },
    {
      name: "an IPTC polygon",
      elements: iptcRegionsXmp({ boundary: relative("polygon", {}), vertices: CORNERS }),
      inside: insideCorners(CORNERS.map(([x, y]) => [x * WIDTH, y * HEIGHT])),
    },
    {
      name: "an IPTC rectangle in pixels",
      elements: iptcRegionsXmp({
        boundary: { rbShape: "rectangle", rbUnit: "pixel", rbX: 6, rbY: 4, rbW: 12, rbH: 30 },
      }),
      inside: (x, y) => x > 6 && x < 18 && y > 4 && y < 34,
    },
    {
      name: "an IPTC circle in pixels of the picture before it was resized",
      elements: iptcRegionsXmp({
        boundary: { rbShape: "circle", rbUnit: "pixel", rbX: 240, rbY: 200, rbRx: 110 },
      }),
      inside: within(24, 20, 11),
      attributes: 'exif:PixelXDimension="600" exif:PixelYDimension="400"',
    },
    {
      name: "an MWG rectangle in pixels of the picture it was marked in",
      elements: mwgRegionsXmp([{ area: { unit: "pixel", x: 300, y: 100, w: 200, h: 100 } }], {
        w: 600,
        h: 400,
      }),
      inside: (x, y) => x > 20 && x < 40 && y > 5 && y < 15,
    },
  ];

/** The region holds the marked pixels, all of them and no other. */
function expectMarked(result: FrameResult, inside: IsInside): void {
  let marked = 0;
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++) if (inside(x + 0.5, y + 0.5)) marked++;
  }
  expect(result.failure).toBeNull();
  expect(result.pixels).toBe(marked);
  for (const stops of [result.fall?.p5, result.fall?.p95, result.fall?.stops]) {
    expect(Math.abs((stops ?? 99) - INSIDE_STOPS)).toBeLessThan(BIN_STOPS);
  }
}

describe.each(MARKS)("$name", ({ elements, inside, attributes = "" }) => {
  test.each([1, 2, 3, 4, 5, 6, 7, 8])(
    "is where it was marked in the stored picture, of orientation %i",
    async (orientation) => {
      const stated = `tiff:Orientation="${orientation}" ${attributes}`;
      const file = await taggedPicture(elements, inside, stated);
      const result = await gradeFrame(file, { region: "tagged" });
      expectMarked(result, inside);
      expect(result.notes.map(({ code }) => code)).toContain("region-from-file");
    },
  );
});

test("the region is told in fractions of the upright picture", async () => {
  // Of Orientation 6, the stored place (x, y) is seen at (1 - y, x).
  const elements = iptcRegionsXmp({ boundary: relative("rectangle", iptcExample.inputs) });
  const file = await taggedPicture(elements, undefined, 'tiff:Orientation="6"');
  expect((await gradeFrame(file, { region: "tagged" })).region).toBe("box:0,0.6,0.8,0.3");
});

describe("regions are named", () => {
  const hull = {
    boundary: relative("rectangle", { rbX: 0, rbY: 0, rbW: 0.5, rbH: 1 }),
    name: "Hull",
  };
  const wall = {
    boundary: relative("rectangle", { rbX: 0.5, rbY: 0, rbW: 0.5, rbH: 1 }),
    name: "wall, lit",
  };
  const bow = { type: "Focus", name: "bow", area: { x: 0.5, y: 0.5, w: 0.5, h: 0.5 } };
  const elements = iptcRegionsXmp(hull, wall) + mwgRegionsXmp([bow]);
  const regionOf = async (region: string, marks = elements) => {
    const result = await gradeFrame(await taggedPicture(marks), { region });
    return result.failure?.code ?? result.region;
  };

  test.each([
    ["iptc:Hull", "box:0,0,0.5,1"],
    ["IPTC:hull", "box:0,0,0.5,1"],
    ["iptc: wall, lit", "box:0.5,0,0.5,1"],
    ["mwg:bow", "box:0.25,0.25,0.5,0.5"],
    ["iptc:bow", "no-such-region"],
    ["tagged", "several-regions"],
    ["subject-area", "no-subject-area"],
  ])("%s is %s", async (name, expected) => {
    expect(await regionOf(name)).toBe(expected);
  });

  test("one region in both forms is one", async () => {
    const same = { type: "Focus", area: { x: 0.25, y: 0.5, w: 0.5, h: 1 } };
    expect(await regionOf("tagged", iptcRegionsXmp(hull) + mwgRegionsXmp([same]))).toBe(
      "box:0,0,0.5,1",
    );
  });

  test("two of one name are refused, and the sentence says which there are", async () => {
    const twins = iptcRegionsXmp(hull, { ...wall, name: "hull" });
    const { failure } = await gradeFrame(await taggedPicture(twins), { region: "iptc:hull" });
    expect(failure).toMatchObject({
      code: "several-regions",
      message: expect.stringContaining("iptc:Hull, iptc:hull"),
    });
  });

  test("without a marked region, tagged is the camera's subject area", async () => {
    const area = "<exif:SubjectArea><rdf:Seq>";
    const items = [30, 20, 30, 20].map((pixels) => `<rdf:li>${pixels}</rdf:li>`).join("");
    const file = `${area}${items}</rdf:Seq></exif:SubjectArea>`;
    expect(await regionOf("tagged", file)).toBe("box:0.25,0.25,0.5,0.5");
    expect(await regionOf("tagged", "")).toBe("no-subject-area");
  });

  test("a face is no region, even where it is the only one", async () => {
    const face = mwgRegionsXmp([{ ...bow, type: "Face" }]);
    expect(await regionOf("mwg:bow", face)).toBe("no-such-region");
    expect(await regionOf("tagged", face)).toBe("no-subject-area");
  });
});

describe("regions that cannot be laid over the picture are refused", () => {
  const iptc = (boundary: Record<string, string | number>) => iptcRegionsXmp({ boundary });
  test.each([
    ["a point", mwgRegionsXmp([{ area: { x: 0.5, y: 0.5 } }]), "region-unusable"],
    [
      "no number",
      iptc(relative("rectangle", { rbX: "x", rbY: 0, rbW: 1, rbH: 1 })),
      "region-unusable",
    ],
    [
      "beyond the edge",
      iptc(relative("rectangle", { rbX: 1.2, rbY: 0, rbW: 1, rbH: 1 })),
      "region-outside-frame",
    ],
    [
      "a circle beyond it",
      iptc(relative("circle", { rbX: 0.5, rbY: -2, rbRx: 0.5 })),
      "region-outside-frame",
    ],
    [
      "too small",
      iptc(relative("rectangle", { rbX: 0.5, rbY: 0.5, rbW: 1e-4, rbH: 1e-4 })),
      "region-empty",
    ],
    [
      "another picture's shape",
      mwgRegionsXmp([{ area: { x: 0.5, y: 0.5, w: 0.2, h: 0.2 } }], { w: 400, h: 600 }),
      "region-unusable",
    ],
  ])("%s", async (_, elements, code) => {
    const { failure, fall } = await gradeFrame(await taggedPicture(elements), { region: "tagged" });
    expect([failure?.code, fall]).toEqual([code, null]);
  });
});

test("a region of a picture that its container turns is refused: which way up it was marked is not recorded", async () => {
  const elements = iptcRegionsXmp({ boundary: relative("rectangle", iptcExample.inputs) });
  const avif = (orientation: number) =>
    flat(INSIDE)
      .withXmp(xmpFixture(`tiff:Orientation="${orientation}"`, elements))
      .avif()
      .toBuffer();
  expect((await gradeFrame(await avif(6), { region: "tagged" })).failure?.code).toBe(
    "region-unusable",
  );
  expect((await gradeFrame(await avif(1), { region: "tagged" })).region).toBe(
    "box:0.6,0.2,0.3,0.8",
  );
});

test.skipIf(!exifTool.path)(`marks written by ExifTool are found${exifTool.skipped}`, async () => {
  const folder = await newFolder();
  const path = join(folder, "marked.png");
  const inside = between(...(iptcExample.expected as [number, number, number, number]));
  await writeFile(path, await taggedPicture("", inside));
  const { rbX, rbY, rbW, rbH } = iptcExample.inputs;
  const { x, y, w, h } = mwgExample.inputs;
  execFileSync(exifTool.path as string, [
    "-q",
    "-overwrite_original",
    "-XMP-dc:Subject=tonefall:place=2",
    "-XMP-dc:Subject=tonefall:region=iptc:hull",
    `-ImageRegion=[{Name=hull,RegionBoundary={RbShape=rectangle,RbUnit=relative,RbX=${rbX},RbY=${rbY},RbW=${rbW},RbH=${rbH}}}]`,
    `-RegionInfo={AppliedToDimensions={W=${WIDTH},H=${HEIGHT},Unit=pixel},RegionList=[{Type=Face,Name=Ada,Area={X=${x},Y=${y},W=${w},H=${h},Unit=normalized}}]}`,
    path,
  ]);
  const result = await gradeFrame(path);
  await rm(folder, { recursive: true });
  expectMarked(result, inside);
  expect(result.placement).toMatchObject({ from: 2, to: 2 });
  expect(JSON.stringify(result)).not.toContain("Ada");
});
