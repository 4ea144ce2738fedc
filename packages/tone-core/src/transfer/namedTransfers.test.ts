import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  ADOBE_RGB,
  DISPLAY_P3,
  gammaTransfer,
  LINEAR,
  PROPHOTO,
  REC709_CAMERA,
  SRGB,
} from "./namedTransfers.ts";
import { type TransferFunction, transferTable } from "./transferFunction.ts";

/** The sRGB and television curves are printed with joins that miss by this much. */
const PRINTED_JOIN = 1e-6;

const all: readonly (readonly [string, TransferFunction, number])[] = [
  ["sRGB", SRGB, PRINTED_JOIN],
  ["Display P3", DISPLAY_P3, PRINTED_JOIN],
  ["Adobe RGB", ADOBE_RGB, 1e-12],
  ["ProPhoto", PROPHOTO, 1e-12],
  ["gamma 1.8", gammaTransfer(1.8), 1e-12],
  ["gamma 2.2", gammaTransfer(2.2), 1e-12],
  ["linear", LINEAR, 0],
  ["Rec. 709 camera", REC709_CAMERA, 3e-4],
];
const unit = fc.double({ min: 0, max: 1, noNaN: true });

describe.each(all)("%s", (name, transfer, tolerance) => {
  test("carries its name, and black and white to themselves", () => {
    expect(transfer.name).toBe(name);
    for (const end of [0, 1]) {
      expect(transfer.linearise(end)).toBeCloseTo(end, 12);
      expect(transfer.encode(end)).toBeCloseTo(end, 12);
    }
  });

  test("encode is the inverse of linearise", () => {
    fc.assert(
      fc.property(unit, (encoded) => {
        const back = transfer.encode(transfer.linearise(encoded));
        expect(Math.abs(back - encoded)).toBeLessThanOrEqual(tolerance);
      }),
    );
  });

  test("never falls from one 16-bit code to the next", () => {
    const table = transferTable(transfer, 65536);
    expect(table.every((linear, code) => code === 0 || linear >= (table[code - 1] as number))).toBe(
      true,
    );
  });

  test.each([-0.001, 1.001, Number.NaN, Infinity, -Infinity])("throws for %s", (bad) => {
    const outOfRange = expect.objectContaining({ code: "TONE_OUT_OF_RANGE" });
    expect(() => transfer.linearise(bad)).toThrow(outOfRange);
    expect(() => transfer.encode(bad)).toThrow(outOfRange);
  });

  test("takes an end that rounding has carried past", () => {
    expect(transfer.encode(1 + 1e-12)).toBe(transfer.encode(1));
    expect(transfer.linearise(-1e-12)).toBe(transfer.linearise(0));
  });
});

describe("transferTable", () => {
  test("holds the linear value of every code", () => {
    const table = transferTable(SRGB, 256);
    expect(table).toBeInstanceOf(Float64Array);
    expect(table).toHaveLength(256);
    expect(table[118]).toBe(SRGB.linearise(118 / 255));
    expect(table[255]).toBe(1);
  });

  test.each([0, 1, 2.5, 65537, Number.NaN])("throws for %s codes", (codes) => {
    expect(() => transferTable(SRGB, codes)).toThrow(/2 to 65536/);
  });
});

describe("gammaTransfer", () => {
  test.each([0, -1, Number.NaN, Infinity])("(%s) throws", (gamma) => {
    expect(() => gammaTransfer(gamma)).toThrow(/above zero for gamma/);
  });
});
