import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { SRGB } from "./namedTransfers.ts";
import { parametricTransfer, tabulatedTransfer } from "./profileTransfers.ts";
import { transferTable } from "./transferFunction.ts";

const unit = fc.double({ min: 0, max: 1, noNaN: true });
const SRGB_PARAMETERS = [2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045];

describe("parametricTransfer", () => {
  test.each([
    [0, [2], 0.5, 0.25],
    [1, [2, 2, -0.5], 0.2, 0], // below -b/a
    [1, [2, 2, -0.5], 0.5, 0.25],
    [2, [2, 0.5, 0.25, 0.125], 0.5, 0.375],
    [3, [2, 1, 0, 0.25, 0.5], 0.25, 0.0625], // on the line
    [3, [2, 1, 0, 0.25, 0.5], 0.75, 0.5625],
    [4, [2, 0.5, 0.25, 0.25, 0.5, 0.125, 0.0625], 0.25, 0.125], // on the line
    [4, [2, 0.5, 0.25, 0.25, 0.5, 0.125, 0.0625], 0.5, 0.375],
  ])("type %i with %j takes %s to %s", (type, parameters, encoded, linear) => {
    expect(parametricTransfer(type, parameters).linearise(encoded)).toBeCloseTo(linear, 14);
  });

  test("type 3 with the figures of sRGB is sRGB, both ways", () => {
    const curve = parametricTransfer(3, SRGB_PARAMETERS);
    fc.assert(
      fc.property(unit, (value) => {
        expect(curve.linearise(value)).toBeCloseTo(SRGB.linearise(value), 14);
        expect(Math.abs(curve.encode(value) - SRGB.encode(value))).toBeLessThan(1e-6);
      }),
    );
  });

  test("clips what leaves [0, 1]", () => {
    const curve = parametricTransfer(2, [1, 2, 0, -0.5]);
    expect(curve.linearise(0)).toBe(0);
    expect(curve.linearise(1)).toBe(1);
    expect(curve.encode(0.5)).toBeCloseTo(0.5, 14);
  });

  test.each([
    [5, [1]],
    [-1, [1]],
    [0, []],
    [3, [1, 2, 3]],
    [0, [Number.NaN]],
    [0, [0]], // white everywhere
    [2, [1, -1, 1, 0]], // falls
  ])("type %i with %j throws", (type, parameters) => {
    expect(() => parametricTransfer(type, parameters)).toThrow(
      expect.objectContaining({ code: "TONE_OUT_OF_RANGE" }),
    );
  });
});

describe("tabulatedTransfer", () => {
  test("goes through its values and straight between them", () => {
    const curve = tabulatedTransfer([0, 0.25, 1]);
    expect([0, 0.25, 0.5, 0.75, 1].map(curve.linearise)).toEqual([0, 0.125, 0.25, 0.625, 1]);
  });

  test("of sRGB's own values is sRGB to a table's accuracy, both ways", () => {
    const curve = tabulatedTransfer(transferTable(SRGB, 4096));
    fc.assert(
      fc.property(unit, (value) => {
        expect(Math.abs(curve.linearise(value) - SRGB.linearise(value))).toBeLessThan(1e-7);
        expect(curve.linearise(curve.encode(value))).toBeCloseTo(value, 12);
      }),
    );
  });

  test("encode gives the lowest code of a flat stretch", () => {
    const curve = tabulatedTransfer([0, 0.5, 0.5, 1]);
    expect(curve.encode(0.5)).toBeCloseTo(1 / 3, 12);
    expect(tabulatedTransfer([0.25, 1]).encode(0.1)).toBe(0);
  });

  test.each([[[]], [[0.5]]])("(%j) throws TONE_EMPTY_INPUT", (values) => {
    expect(() => tabulatedTransfer(values)).toThrow(
      expect.objectContaining({ code: "TONE_EMPTY_INPUT" }),
    );
  });

  test.each([[[0, Number.NaN]], [[0, 2]], [[-1, 1]], [[1, 0]], [[0.5, 0.5]]])(
    "(%j) throws TONE_OUT_OF_RANGE",
    (values) => {
      expect(() => tabulatedTransfer(values)).toThrow(
        expect.objectContaining({ code: "TONE_OUT_OF_RANGE" }),
      );
    },
  );
});
