/** Terms of the series that reach a double's last digit for up to half an octave. */
const TERMS = 18;

/**
 * 2 to a power, for what APEX values say. The engine's own `**` may differ in its last digits from engine to engine; sums,
 * products and quotients may not.
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
