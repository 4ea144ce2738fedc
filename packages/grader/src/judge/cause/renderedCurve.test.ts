import fc from "fast-check";
import { expect, test } from "vitest";
import { curvesOf, lightBehind, lightsBehind, type RenderedRow } from "./renderedCurve.ts";

const rendered: RenderedRow = { basis: "rendered", picture: null };

test.each<[string, RenderedRow]>([
  ["rendering", rendered],
  ["plain", { ...rendered, basis: "settings" }],
])("the light by all curves at once is that of each alone: %s", (_, row) => {
  const stops = fc.oneof(fc.constantFrom(-2, 0, 0.125, 2, 2.5), fc.double({ min: -9, max: 5 }));
  fc.assert(
    fc.property(stops, (shown) => {
      const alone = curvesOf(row).map((curve) => lightBehind(curve, shown));
      expect(lightsBehind(row, shown)).toEqual(Float64Array.from(alone));
    }),
    { numRuns: 30 },
  );
});
