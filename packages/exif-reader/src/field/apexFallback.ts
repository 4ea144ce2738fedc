import type { Field } from "../exposureRecord.ts";
import type { Fraction, Recorded } from "../tag/tagSource.ts";
import { fieldOf, firstUsable, type Limits, quantity } from "./fieldRules.ts";

/** Plausible APEX values; the limits of the quantity itself are applied afterwards. */
const APEX: Limits = { least: -99.99, most: 99.99 };

/**
 * A quantity as recorded or, where that is unusable, computed from its APEX value.
 *
 * An APEX value of 0 (f/1, one second) beside an unusable quantity is most likely a second blank, so it counts only where
 * the quantity's own tag is absent.
 */
export function apexFallback(
  recorded: Field<number>,
  apex: Recorded<readonly Fraction[]> | undefined,
  limits: Limits,
  fromApex: (value: number) => number,
): Field<number> {
  if (recorded.value !== null) return recorded;
  const value = quantity(apex, APEX);
  if (value.value === null)
    return firstUsable(
      () => recorded,
      () => value,
    );
  if (value.value === 0 && recorded.reason !== "absent") return recorded;
  const converted = fieldOf<readonly Fraction[], number>(apex, () => {
    const result = fromApex(value.value);
    return result < limits.least || result > limits.most
      ? "absurd"
      : { value: result, found: `${value.value}` };
  });
  return firstUsable(
    () => recorded,
    () => converted,
  );
}
