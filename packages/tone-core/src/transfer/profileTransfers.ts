import { ToneError } from "../errors.ts";
import { power } from "../exact/exactMath.ts";
import { expectList } from "../expectGiven.ts";
import { expectFinite, expectUnit } from "../expectNumber.ts";
import type { TransferFunction } from "./transferFunction.ts";

/** How many parameters each type of parametric curve has. */
const PARAMETER_COUNTS = [1, 3, 4, 5, 7] as const;

/**
 * A parametric curve of a colour profile.
 *
 * Results are clipped to [0, 1], as the format says.
 *
 * @param type - 0 to 4
 * @param parameters - in the order of the format: g, then a b c d e f as far as the type has them
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for an unknown type, a wrong count, a parameter that is not finite, or
 *   a curve that does not rise from 0 to 1
 * @see [ICC] ICC.1, parametricCurveType
 *
 * @example
 * ```ts
 * parametricTransfer(0, [2]).linearise(0.5); // => 0.25
 * ```
 */
export function parametricTransfer(type: number, parameters: readonly number[]): TransferFunction {
  expectList("the parameters", parameters);
  const count = PARAMETER_COUNTS[type];
  if (count === undefined || parameters.length !== count) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected a type from 0 to 4 with 1, 3, 4, 5 or 7 parameters for the parametric curve but received type ${type} with ${parameters.length}`,
    );
  }
  for (const parameter of parameters) expectFinite("curve parameter", parameter);
  return rising(`parametric curve ${type}`, parametricCurve(type, parameters));
}

/**
 * A curve of a colour profile that is given as a table: linear light at evenly spaced codes, straight lines between.
 *
 * @param values - linear light in [0, 1] from code 0 to full scale, at least 2 of them
 * @throws {@link ToneError} `TONE_EMPTY_INPUT` for fewer than two values, `TONE_OUT_OF_RANGE` for a value outside
 *   [0, 1] or a table that does not rise from its first value to its last
 * @see [ICC] ICC.1, curveType
 *
 * @example
 * ```ts
 * tabulatedTransfer([0, 0.25, 1]).linearise(0.75); // => 0.625
 * tabulatedTransfer([0, 0.25, 1]).encode(0.625); // => 0.75
 * ```
 */
export function tabulatedTransfer(values: ArrayLike<number>): TransferFunction {
  expectList("the curve table", values);
  if (values.length < 2) {
    throw new ToneError(
      "TONE_EMPTY_INPUT",
      `Expected at least 2 values for the curve table but received ${values.length}`,
    );
  }
  const table = Float64Array.from(values, (value) => expectUnit("curve value", value));
  const last = table.length - 1;
  return rising(`table of ${table.length}`, (encoded) => {
    const position = encoded * last;
    const below = Math.min(Math.floor(position), last - 1);
    const from = table[below] as number;
    return from + (position - below) * ((table[below + 1] as number) - from);
  });
}

function parametricCurve(type: number, parameters: readonly number[]): (x: number) => number {
  const [g = 1, a = 1, b = 0, c = 0, d = 0, e = 0, f = 0] = parameters;
  // A negative base has no real power: the curve is at its foot there.
  const raised = (x: number): number => power(Math.max(0, a * x + b), g);
  switch (type) {
    case 0:
    case 1:
      return raised;
    case 2:
      return (x) => raised(x) + c;
    case 3:
      return (x) => (x >= d ? raised(x) : c * x);
    default:
      return (x) => (x >= d ? raised(x) + e : c * x + f);
  }
}

/** Halvings after which an interval of [0, 1] is finer than a double can resolve. */
const HALVINGS = 53;

/** A curve with the inverse found by halving, which asks nothing of it but that it rises. */
function rising(name: string, curve: (encoded: number) => number): TransferFunction {
  const clipped = (encoded: number): number => Math.min(1, Math.max(0, curve(encoded)));
  if (!(clipped(1) > clipped(0))) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected a curve that rises from black to white for the ${name} but received one from ${clipped(0)} to ${clipped(1)}`,
    );
  }
  return {
    name,
    linearise: (encoded) => clipped(expectUnit("encoded value", encoded)),
    encode: (value) => {
      const linear = expectUnit("linear value", value);
      if (linear <= clipped(0)) return 0;
      let below = 0;
      let above = 1;
      for (let i = 0; i < HALVINGS; i++) {
        const middle = (below + above) / 2;
        if (clipped(middle) < linear) below = middle;
        else above = middle;
      }
      return above;
    },
  };
}
