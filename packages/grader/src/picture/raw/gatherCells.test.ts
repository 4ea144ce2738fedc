import fc from "fast-check";
import { expect, test } from "vitest";
import { channelBlack } from "./blackLevels.ts";
import { type FilterCell, mosaicCell, plainCell } from "./filterCell.ts";
import { gatherCells, type SensorSamples } from "./gatherCells.ts";

/** Patterns of filters by their sides, each of as many colours as fit. */
const MOSAICS = [
  { rows: 2, columns: 2, values: [0, 1, 1, 2] },
  { rows: 2, columns: 2, values: [2, 1, 1, 0] },
  { rows: 6, columns: 6, values: Array.from({ length: 36 }, (_, i) => i % 3) },
];

test("cells written over the samples are those that get memory of their own, for every kind of sensor", () => {
  const margin = fc.nat(7);
  const side = fc.integer({ min: 12, max: 40 });
  fc.assert(
    fc.property(fc.nat(4), side, side, margin, margin, (kind, width, height, left, top) => {
      const planes = kind === 4 ? 3 : 1;
      const picture = { left, top, width: width - left, height: height - top };
      const whole = { left: 0, top: 0, width, height };
      const mosaic = MOSAICS[kind];
      const cell = mosaic ? mosaicCell(mosaic, whole, picture) : plainCell(planes);
      const samples = Uint16Array.from({ length: width * height * planes }, (_, i) => 7 * i);
      const before = samples.slice();
      const gather = (where: "apart" | "in-place") =>
        gatherCells(
          { width, height, planes, samples },
          { cell, picture, activeArea: whole },
          levelsOf(cell, picture),
          where,
        );
      const apart = gather("apart");
      expect(samples).toEqual(before);
      expect([...apart.samples]).toEqual(byHand({ width, height, planes, samples }, cell, picture));
      const inPlace = gather("in-place");
      expect(inPlace.samples.buffer).toBe(samples.buffer);
      expect(inPlace).toEqual(apart);
    }),
  );
});

type Part = Parameters<typeof channelBlack>[3];

function levelsOf(cell: FilterCell, picture: Part) {
  const flat = { rows: 1, columns: 1, values: [0], columnDeltas: null, rowDeltas: null };
  return {
    black: channelBlack(flat, picture, cell, picture),
    whites: cell.sites.map(() => 65535),
  };
}

function byHand({ samples, width, planes }: SensorSamples, cell: FilterCell, part: Part): number[] {
  const [across, down] = [
    Math.floor(part.width / cell.columns),
    Math.floor(part.height / cell.rows),
  ];
  return Array.from({ length: across * down }, (_, at) => {
    const x = part.left + cell.columns * (at % across);
    const y = part.top + cell.rows * Math.floor(at / across);
    return cell.sites.map(
      ({ row, column, plane }) => samples[((y + row) * width + x + column) * planes + plane] ?? -1,
    );
  }).flat();
}
