import fc from "fast-check";
import { describe, expect, test } from "vitest";
import * as exact from "./exactMath.ts";

/**
 * Arguments and results, rounded to the nearest double, by decimal arithmetic of 60 digits (Python's decimal module; the
 * last two by their alternating series in it).
 */
const VALUES: Readonly<Record<string, readonly (readonly number[])[]>> = {
  log2: [
    [0.10682853770165568, -3.226631001223119],
    [734059.6300853326, 19.485537737143083],
    [0.9999933236698572, -9.631940541457114e-6],
    [0.9999236799139731, -0.00011011081151793891],
    [804281.4798776044, 19.617340974042833],
    [0.9999322100975384, -9.780347118502445e-5],
  ],
  naturalLog: [
    [0.494844742356359, -0.7035112174177974],
    [1.9550948754683908, 0.6704387219111544],
    [0.36907903689498744, -0.9967444657501313],
    [1.0111986777436914, 0.011136436798536356],
    [0.24962401257577493, -1.387799442884327],
    [0.6132650938796789, -0.48895798321585043],
  ],
  log10: [
    [2.933998600733573, 0.4674599023859848],
    [1.2110273968417637, 0.08315396821539915],
    [2.971297903380674, 0.47294619650525227],
    [1.3159441552254125, 0.11923745949674094],
    [1.822593638920658, 0.26068985019816027],
    [2.6177861461236303, 0.4179341649985557],
  ],
  exp2: [
    [4.485204020647089, 22.396540862338853],
    [-9.323245064238233, 0.0015610743170807026],
    [2.1380200333745076, 4.401575557657554],
    [3.2095049078925193, 9.250330474869024],
    [-7.65124710830795, 0.004974450529061226],
    [-9.727860019146728, 0.0011792946833914595],
  ],
  exponential: [
    [5.996702729061576, 402.1007700859092],
    [0.22050329115984368, 1.2467040278337105],
    [-4.898580638071206, 0.007457159971884415],
    [-0.7583854646543084, 0.46842210085322217],
    [-4.508993567855496, 0.011009534951738292],
    [4.771870408216152, 118.14000547426076],
  ],
  cubeRoot: [
    [0.500480124761316, 0.7939544948939928],
    [0.10242802740025991, 0.46788551787432087],
    [0.8181280121149863, 0.9352773585409104],
    [0.08953523843460964, 0.44736774125386597],
    [0.2806687587371437, 0.654733694151917],
    [0.0279974055418043, 0.3036495179655543],
  ],
  power: [
    [0.7403412417461651, 2.4, 0.48600044094258976],
    [0.6861977020335537, 2.4, 0.4050216349220717],
    [0.4251886791023419, 0.4166666666666667, 0.7002326742422209],
    [0.5348504736027736, 2.19921875, 0.2525361555706765],
    [0.3095246142511884, 2.19921875, 0.07584506268972915],
    [0.4370425821668926, 2.4, 0.13716932713365454],
  ],
  errorFunction: [
    [0.01, 0.011283415555849618],
    [0.5, 0.5204998778130465],
    [1.0, 0.8427007929497149],
    [1.7, 0.9837904585907745],
    [2.5, 0.999593047982555],
    [-0.8, -0.7421009647076605],
  ],
  cosine: [
    [0.3, 0.955336489125606],
    [1.2, 0.3623577544766736],
    [1.57, 0.0007963267107332633],
    [2.9, -0.9709581651495905],
    [-4.4, -0.30733286997841935],
    [6.2, 0.9965420970232175],
  ],
};

/** Units in the last place by which a result may differ; their series are summed in doubles. */
const ULPS: Readonly<Record<string, number>> = { errorFunction: 12, cosine: 2 };

type Function = (...values: readonly number[]) => number;

/** A function by its name. */
const named = (name: string): Function =>
  (exact as unknown as Record<string, Function>)[name] as Function;

describe.each(Object.entries(VALUES))("%s", (name, rows) => {
  test.each(rows)("of %d and %d", (...row) => {
    const truth = row.at(-1) as number;
    const ulp = 2 ** (Math.floor(Math.log2(Math.abs(truth))) - 52);
    const apart = Math.abs(named(name)(...row.slice(0, -1)) - truth);
    expect(apart / ulp).toBeLessThanOrEqual(ULPS[name] ?? 0);
  });
});

describe("what a double holds is exact", () => {
  test("powers of two and their logarithms, from the least to the greatest", () => {
    let value = Number.MIN_VALUE;
    for (let octave = -1074; octave < 1024; octave++, value *= 2) {
      expect([exact.exp2(octave), exact.log2(value)], `2^${octave}`).toEqual([value, octave]);
    }
    expect([exact.exp2(1024), exact.exp2(-1076), exact.exp2(2000)]).toEqual([
      Infinity,
      0,
      Infinity,
    ]);
  });

  test("powers of ten", () => {
    for (let digits = -300; digits <= 300; digits++) {
      const value = Number(`1e${digits}`);
      expect(exact.log10(value)).toBe(digits);
      // Beyond 1e22 a power of ten is no double itself, and may lie almost halfway between two.
      if (Math.abs(digits) <= 22) expect(exact.power(10, digits)).toBe(value);
    }
  });

  test("whole powers of whole numbers, cube roots, and sides of right triangles", () => {
    expect([3, 7, 99].map((x) => [exact.power(x, 2), exact.power(x, 3), exact.squared(x)])).toEqual(
      [3, 7, 99].map((x) => [x * x, x * x * x, x * x]),
    );
    expect([27, -0.001, 0, -1e300].map(exact.cubeRoot)).toEqual([3, -0.1, 0, -1e100]);
    expect([
      exact.hypot(3, 4),
      exact.hypot(3 * 2 ** 600, -4 * 2 ** 600),
      exact.hypot(3e-320, 4e-320),
    ]).toEqual([5, 5 * 2 ** 600, 5e-320]);
  });
});

test("what no number answers is NaN or an infinity, as in JavaScript", () => {
  const odd = [0, -1, Infinity, -Infinity, Number.NaN];
  for (const x of odd) {
    expect(exact.log2(x), `log2 ${x}`).toBe(Math.log2(x));
    expect(exact.naturalLog(x), `log ${x}`).toBe(Math.log(x));
    expect(exact.log10(x), `log10 ${x}`).toBe(Math.log10(x));
    expect(exact.exp2(x), `exp2 ${x}`).toBe(2 ** x);
    expect(exact.exponential(x), `exp ${x}`).toBe(Math.exp(x));
    expect(exact.cubeRoot(x), `cbrt ${x}`).toBe(Math.cbrt(x));
    expect(exact.hypot(x, 0), `hypot ${x}`).toBe(Math.hypot(x, 0));
    for (const base of [0, 0.5, 1.5, Infinity]) {
      expect(exact.power(base, x), `${base} to the ${x}`).toBe(base ** x);
    }
  }
  expect(exact.power(-8, 1 / 3)).toBeNaN();
  expect(exact.cosine(Infinity)).toBeNaN();
  expect([-7, 0, 7, Infinity].map(exact.errorFunction)).toEqual([-1, 0, 1, 1]);
});

test("powers of a base whose logarithm is kept are those of power, at every boundary", () => {
  const edges = [0, -0, 1, -1, -2.4, 5e-324, 1e-310, 1e308, Number.POSITIVE_INFINITY, Number.NaN];
  const any = fc.oneof(fc.double({ min: 0, max: 40 }), fc.constantFrom(...edges));
  fc.assert(
    fc.property(any, fc.array(any), (base, exponents) => {
      const powers = exponents.map(exact.powersOf(base));
      expect(powers).toEqual(exponents.map((exponent) => exact.power(base, exponent)));
    }),
  );
});

test("a power undoes its logarithm, and rises with it", () => {
  fc.assert(
    fc.property(fc.double({ min: 1e-9, max: 1e9 }), (x) => {
      expect(exact.exp2(exact.log2(x)) / x).toBeCloseTo(1, 13);
      expect(exact.power(exact.power(x, 2.4), 1 / 2.4) / x).toBeCloseTo(1, 13);
      expect(exact.log2(x * (1 + 1e-14))).toBeGreaterThanOrEqual(exact.log2(x));
    }),
    { seed: 3 },
  );
});
