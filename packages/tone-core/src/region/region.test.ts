import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { storedFromUpright, swapsSides, uprightFromStored } from "./orientation.ts";
import { parseRegion, regionText } from "./parseRegion.ts";
import { rasteriseRegion, type Spans, spanPixels } from "./rasteriseRegion.ts";
import type { Region } from "./region.ts";

const orientations = fc.integer({ min: 1, max: 8 });
const fraction = fc.double({ min: 0, max: 1, noNaN: true });

/** Upright pixels of spans over a stored raster, as sorted "x,y". */
function uprightPixels(spans: Spans, width: number, height: number, orientation: number): string[] {
  const turned = swapsSides(orientation);
  const [across, down] = turned ? [height, width] : [width, height];
  const pixels: string[] = [];
  for (let i = 0; i < spans.length; i += 3) {
    const row = spans[i] as number;
    for (let column = spans[i + 1] as number; column < (spans[i + 2] as number); column++) {
      const centre = { x: (column + 0.5) / width, y: (row + 0.5) / height };
      const { x, y } = uprightFromStored(centre, orientation);
      pixels.push(`${Math.floor(x * across + 1e-9)},${Math.floor(y * down + 1e-9)}`);
    }
  }
  return pixels.sort();
}

describe("storedFromUpright", () => {
  // [EXIF] Orientation: which side of the picture the stored first row and first column are.
  test.each([
    { orientation: 1, row0: "top", column0: "left" },
    { orientation: 2, row0: "top", column0: "right" },
    { orientation: 3, row0: "bottom", column0: "right" },
    { orientation: 4, row0: "bottom", column0: "left" },
    { orientation: 5, row0: "left", column0: "top" },
    { orientation: 6, row0: "right", column0: "top" },
    { orientation: 7, row0: "right", column0: "bottom" },
    { orientation: 8, row0: "left", column0: "bottom" },
  ])(
    "orientation $orientation stores the $row0 as row 0 and the $column0 as column 0",
    ({ orientation, row0, column0 }) => {
      const middleOf = {
        top: { x: 0.5, y: 0 },
        bottom: { x: 0.5, y: 1 },
        left: { x: 0, y: 0.5 },
        right: { x: 1, y: 0.5 },
      } as const;
      expect(storedFromUpright(middleOf[row0 as keyof typeof middleOf], orientation).y).toBe(0);
      expect(storedFromUpright(middleOf[column0 as keyof typeof middleOf], orientation).x).toBe(0);
    },
  );

  test("is undone by uprightFromStored", () => {
    fc.assert(
      fc.property(fraction, fraction, orientations, (x, y, orientation) => {
        const back = uprightFromStored(storedFromUpright({ x, y }, orientation), orientation);
        expect(back.x).toBeCloseTo(x, 12);
        expect(back.y).toBeCloseTo(y, 12);
      }),
    );
  });

  test.each([0, 9, 1.5, Number.NaN])("refuses orientation %s", (orientation) => {
    expect(() => storedFromUpright({ x: 0, y: 0 }, orientation)).toThrow(
      expect.objectContaining({ code: "TONE_OUT_OF_RANGE" }),
    );
  });
});

describe("parseRegion", () => {
  test.each<[string, Region]>([
    ["whole", { shape: "whole" }],
    ["spot", { shape: "disc", x: 0.5, y: 0.5, share: 0.03 }],
    ["spot:0.2,0.7", { shape: "disc", x: 0.2, y: 0.7, share: 0.03 }],
    ["partial", { shape: "disc", x: 0.5, y: 0.5, share: 0.085 }],
    ["box:0.1,0.2,0.3,0.4", { shape: "box", x: 0.1, y: 0.2, width: 0.3, height: 0.4 }],
    ["circle:0.5,0.5,0.1", { shape: "circle", x: 0.5, y: 0.5, radius: 0.1 }],
    ["ellipse:0.5,0.5,0.2,0.1", { shape: "ellipse", x: 0.5, y: 0.5, radiusX: 0.2, radiusY: 0.1 }],
    [
      "polygon:0,0 1,0 0.5,1",
      {
        shape: "polygon",
        points: [
          { x: 0, y: 0 },
          { x: 1, y: 0 },
          { x: 0.5, y: 1 },
        ],
      },
    ],
  ])("reads %s, and regionText writes it", (text, region) => {
    expect(parseRegion(text)).toEqual(region);
    expect(regionText(region)).toBe(text);
  });

  test("forgives spaces and capitals", () => {
    expect(parseRegion(" Box: 0.1 , 0.2,0.3, 0.4 ")).toEqual(parseRegion("box:0.1,0.2,0.3,0.4"));
  });

  test.each([
    "",
    "bull's eye",
    "box",
    "box:0,0,1",
    "box:0,0,0,1",
    "box:0,0,-1,1",
    "box:0,0,1,x",
    "box:0,0,1,",
    "box:0.5,0,0.6,1",
    "box:-0.1,0,0.5,1",
    "circle:0.5,0.5,0",
    "circle:0.9,0.5,0.2",
    "circle:0.5,1.2,0.1",
    "spot:2,0.5",
    "polygon:0,0 1,1",
    "polygon:0,0 1,0 0.5,1.5",
    "whole:1",
  ])("refuses %j", (text) => {
    expect(() => parseRegion(text)).toThrow(expect.objectContaining({ code: "TONE_BAD_REGION" }));
  });
});

describe("rasteriseRegion", () => {
  test("whole covers every pixel once", () => {
    const spans = rasteriseRegion({ shape: "whole" }, { width: 5, height: 3, orientation: 1 });
    expect(Array.from(spans)).toEqual([0, 0, 5, 1, 0, 5, 2, 0, 5]);
    expect(spanPixels(spans)).toBe(15);
  });

  test("a box holds the pixels whose centres it holds", () => {
    const raster = { width: 10, height: 10, orientation: 1 };
    const box = rasteriseRegion(parseRegion("box:0.24,0.3,0.32,0.1"), raster);
    // Columns 2.4 to 5.6: centres 2.5, 3.5, 4.5 and 5.5; rows 3 to 4: centre 3.5.
    expect(Array.from(box)).toEqual([3, 2, 6]);
  });

  test.each(["spot", "partial"])(
    "%s covers its share of the frame, and is round in pixels",
    (name) => {
      const raster = { width: 600, height: 400, orientation: 1 };
      const region = parseRegion(name);
      const spans = rasteriseRegion(region, raster);
      const share = region.shape === "disc" ? region.share : Number.NaN;
      expect(spanPixels(spans) / (600 * 400)).toBeCloseTo(share, 3);
      const rows = spans.length / 3;
      const widest = Math.max(
        ...Array.from(
          { length: rows },
          (_, i) => (spans[3 * i + 2] as number) - (spans[3 * i + 1] as number),
        ),
      );
      expect(Math.abs(rows - widest)).toBeLessThanOrEqual(1);
    },
  );

  test("a circle's radius is in widths of the upright picture", () => {
    const circle = parseRegion("circle:0.5,0.5,0.25");
    const flat = spanPixels(rasteriseRegion(circle, { width: 400, height: 300, orientation: 1 }));
    const turned = spanPixels(rasteriseRegion(circle, { width: 300, height: 400, orientation: 6 }));
    expect(flat / (Math.PI * 100 ** 2)).toBeCloseTo(1, 2);
    expect(turned).toBe(flat);
  });

  test("a polygon is filled by the even-odd rule", () => {
    // A square with a square hole, drawn in one stroke.
    const ring = parseRegion(
      "polygon:0,0 1,0 1,1 0,1 0,0 0.25,0.25 0.75,0.25 0.75,0.75 0.25,0.75 0.25,0.25",
    );
    const spans = rasteriseRegion(ring, { width: 8, height: 8, orientation: 1 });
    expect(spanPixels(spans)).toBe(64 - 16);
  });

  test("a triangle covers half its box", () => {
    const spans = rasteriseRegion(parseRegion("polygon:0,0 1,0 0,1"), {
      width: 100,
      height: 100,
      orientation: 1,
    });
    expect(spanPixels(spans)).toBeGreaterThanOrEqual(4950);
    expect(spanPixels(spans)).toBeLessThanOrEqual(5050);
  });

  test("a region smaller than a pixel may hold none", () => {
    const speck = parseRegion("box:0.01,0.01,0.001,0.001");
    expect(rasteriseRegion(speck, { width: 10, height: 10, orientation: 1 })).toHaveLength(0);
  });

  test("holds the same upright pixels however the picture is stored", () => {
    const shape = fc.oneof(
      fc.constantFrom("spot", "partial", "whole", "polygon:0.11,0.07 0.93,0.21 0.52,0.89"),
      fc
        .tuple(fraction, fraction, fc.double({ min: 0.05, max: 1, noNaN: true }))
        .map(([x, y, size]) => `box:${x * (1 - size)},${y * (1 - size)},${size},${size}`),
      fc
        .tuple(fraction, fraction)
        .map(([x, y]) => `ellipse:${0.2 + 0.6 * x},${0.3 + 0.4 * y},0.2,0.3`),
      fc.tuple(fraction, fraction).map(([x, y]) => `circle:${0.2 + 0.6 * x},${y},0.2`),
    );
    fc.assert(
      fc.property(
        shape,
        fc.integer({ min: 1, max: 40 }),
        fc.integer({ min: 1, max: 40 }),
        orientations,
        (text, across, down, orientation) => {
          const region = parseRegion(text);
          const upright = rasteriseRegion(region, { width: across, height: down, orientation: 1 });
          const [width, height] = swapsSides(orientation) ? [down, across] : [across, down];
          const stored = rasteriseRegion(region, { width, height, orientation });
          expect(uprightPixels(stored, width, height, orientation)).toEqual(
            uprightPixels(upright, across, down, 1),
          );
        },
      ),
    );
  });
});
