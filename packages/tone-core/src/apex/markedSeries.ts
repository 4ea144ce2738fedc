import { apertureFromValue, isoFromValue, secondsFromValue } from "./apex.ts";

/** A value as engraved or displayed, and the exact one it stands for. */
export interface MarkedValue {
  /** What the camera shows, such as 5.6 or 1/60. */
  readonly marked: number;
  /** What the camera sets, such as 2^2.5 or 1/64. */
  readonly exact: number;
  /** APEX value of the exact one: Av, Tv or Sv. */
  readonly value: number;
}

/** The marked values of one series, each list in rising APEX value. */
export interface MarkedSeries {
  /** f-numbers. */
  readonly aperture: readonly MarkedValue[];
  /** Exposure times in seconds. */
  readonly shutterSeconds: readonly MarkedValue[];
  /** Arithmetic ISO speeds. */
  readonly iso: readonly MarkedValue[];
}

/** A step between settings: whole stops, or halves or thirds of one. */
export type SeriesName = "full" | "third" | "half";

// The ends beyond f/1 to f/32, 30 s to 1/8000 s and ISO 25 to 25600, and the half steps of ISO, are from memory.
// biome-ignore format: one octave a line
const THIRDS = {
  aperture: list(3, -1, apertureFromValue, [
    0.7, 0.8, 0.9,  1, 1.1, 1.2,  1.4, 1.6, 1.8,  2, 2.2, 2.5,  2.8, 3.2, 3.5,  4, 4.5, 5,
    5.6, 6.3, 7.1,  8, 9, 10,  11, 13, 14,  16, 18, 20,  22, 25, 29,  32, 36, 40,  45, 51, 57,  64,
  ]),
  shutterSeconds: list(3, -5, secondsFromValue, [
    30, 25, 20,  15, 13, 10,  8, 6, 5,  4, 3.2, 2.5,  2, 1.6, 1.3,  1, 0.8, 0.6,  0.5, 0.4, 0.3,
    ...oneOver(4, 5, 6,  8, 10, 13,  15, 20, 25,  30, 40, 50,  60, 80, 100,  125, 160, 200,
      250, 320, 400,  500, 640, 800,  1000, 1250, 1600,  2000, 2500, 3200,  4000, 5000, 6400,
      8000, 10000, 12800,  16000, 20000, 25600,  32000),
  ]),
  iso: list(3, 0, isoFromValue, [
    3, 4, 5,  6, 8, 10,  12, 16, 20,  25, 32, 40,  50, 64, 80,  100, 125, 160,  200, 250, 320,
    400, 500, 640,  800, 1000, 1250,  1600, 2000, 2500,  3200, 4000, 5000,  6400, 8000, 10000,
    12800, 16000, 20000,  25600, 32000, 40000,  51200, 64000, 80000,  102400,
  ]),
};

// biome-ignore format: an octave is a pair
const HALVES = {
  aperture: list(2, -1, apertureFromValue, [
    0.7, 0.8,  1, 1.2,  1.4, 1.7,  2, 2.4,  2.8, 3.3,  4, 4.8,  5.6, 6.7,  8, 9.5,  11, 13,
    16, 19,  22, 27,  32, 38,  45, 54,  64,
  ]),
  shutterSeconds: list(2, -5, secondsFromValue, [
    30, 20,  15, 10,  8, 6,  4, 3,  2, 1.5,  1, 0.7,
    ...oneOver(2, 3,  4, 6,  8, 10,  15, 20,  30, 45,  60, 90,  125, 180,  250, 350,  500, 750,
      1000, 1500,  2000, 3000,  4000, 6000,  8000, 12000,  16000),
  ]),
  iso: list(2, 0, isoFromValue, [
    3, 4.5,  6, 9,  12, 18,  25, 35,  50, 70,  100, 140,  200, 280,  400, 560,  800, 1100,
    1600, 2200,  3200, 4500,  6400, 9000,  12800, 18000,  25600, 36000,  51200, 72000,  102400,
  ]),
};

/**
 * The marked values that cameras show, with the exact values they stand for, by series.
 *
 * The full stops are those of the thirds; they are marked alike in both finer series.
 *
 * @see [MARKED]
 */
export const MARKED_SERIES: Readonly<Record<SeriesName, MarkedSeries>> = {
  full: {
    aperture: fullStops(THIRDS.aperture),
    shutterSeconds: fullStops(THIRDS.shutterSeconds),
    iso: fullStops(THIRDS.iso),
  },
  third: THIRDS,
  half: HALVES,
};

/** A list of marked values that starts at a whole APEX value and goes on in even steps. */
function list(
  stepsPerStop: number,
  first: number,
  exactOf: (value: number) => number,
  marked: readonly number[],
): readonly MarkedValue[] {
  return marked.map((mark, i) => {
    const value = (first * stepsPerStop + i) / stepsPerStop;
    return { marked: mark, exact: exactOf(value), value };
  });
}

function oneOver(...denominators: readonly number[]): number[] {
  return denominators.map((denominator) => 1 / denominator);
}

function fullStops(thirds: readonly MarkedValue[]): readonly MarkedValue[] {
  return thirds.filter(({ value }) => Number.isInteger(value));
}
