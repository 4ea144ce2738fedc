import { describe, expect, test } from "vitest";
import { headroom } from "./headroom.ts";
import { NEAR_CLIPPING_STOPS, sensorStatistics } from "./sensorStatistics.ts";

const BLACK = 512;
const WHITE = BLACK + 8192;

function channel(name: string): { name: string; clipCode: number; crushCode: number } {
  return { name, clipCode: WHITE, crushCode: BLACK };
}

function counts(...codes: number[]): Uint32Array {
  const histogram = new Uint32Array(65536);
  for (const code of codes) histogram[code] = (histogram[code] as number) + 1;
  return histogram;
}

describe("headroom", () => {
  test("the channel nearest to white limits, and its room counts from black", () => {
    const room = headroom(
      [counts(BLACK + 1024), counts(BLACK + 2048, BLACK + 10), counts(BLACK + 512)],
      ["red", "green", "blue"].map(channel),
    );
    expect(room.limitedBy).toBe("green");
    expect(room.stops).toBe(2);
    expect(room.channels.map(({ stops }) => stops)).toEqual([3, 2, 4]);
  });

  test("is 0 where samples clip, and null in the dark", () => {
    expect(headroom([counts(WHITE + 100)], [channel("grey")]).stops).toBe(0);
    expect(headroom([counts(BLACK - 3)], [channel("grey")])).toMatchObject({
      stops: null,
      limitedBy: null,
    });
  });

  test("lets a share of the samples clip when told to", () => {
    const histogram = counts(...Array<number>(99).fill(BLACK + 1024), BLACK + 4096);
    expect(headroom([histogram], [channel("grey")]).stops).toBe(1);
    expect(headroom([histogram], [channel("grey")], { share: 0.01 }).stops).toBe(3);
  });
});

describe("sensorStatistics", () => {
  const near = Math.ceil(BLACK + 8192 * 2 ** -NEAR_CLIPPING_STOPS);

  test("counts at and near white, by whole codes", () => {
    const histogram = counts(WHITE, WHITE + 1, WHITE - 1, near, near - 1);
    const [grey] = sensorStatistics([histogram], [channel("grey")], [BLACK], null);
    expect(grey).toMatchObject({ samples: 5, clipped: 2, nearClipping: 2, belowNoiseFloor: null });
  });

  test("thirds of a stop count down from white; black and below are in the last", () => {
    const half = BLACK + 4096;
    const histogram = counts(WHITE - 1, half, half + 1, BLACK, BLACK - 20);
    const [grey] = sensorStatistics([histogram], [channel("grey")], [BLACK], null);
    expect(grey?.stops[0]).toBe(1);
    expect(grey?.stops[2]).toBe(1);
    expect(grey?.stops[3]).toBe(1);
    expect(grey?.stops.at(-1)).toBe(2);
    expect(grey?.linear[0]).toBe(2);
    expect(grey?.linear[128]).toBe(2);
    expect(grey?.linear[255]).toBe(1);
  });

  test("below the noise floor is a signal under one standard deviation", () => {
    const histogram = counts(BLACK - 5, BLACK + 7, BLACK + 8, BLACK + 900);
    const [grey] = sensorStatistics([histogram], [channel("grey")], [BLACK], [8]);
    expect(grey?.belowNoiseFloor).toBe(0.5);
  });
});
