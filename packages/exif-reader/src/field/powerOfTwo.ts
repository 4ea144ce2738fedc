/** Terms of the series that give every digit of a double for up to half an octave. */
const TERMS = 18;

/**
 * 2 to a power, for APEX values. The last digits of `**` may differ between JavaScript engines; those of sums, products and
 * quotients may not.
 *
 * @param exponent - within 1000 octaves; beyond, 0 or infinity
 */
export function powerOfTwo(exponent: number): number {
  if (Math.abs(exponent) > 1000) return exponent > 0 ? Number.POSITIVE_INFINITY : 0;
  const octaves = Math.round(exponent);
  const rest = (exponent - octaves) * Math.LN2;
  let total = 1;
  for (let n = TERMS; n > 0; n--) total = 1 + (total * rest) / n;
  const factor = octaves < 0 ? 0.5 : 2;
  for (let left = Math.abs(octaves); left > 0; left--) total *= factor;
  return total;
}
