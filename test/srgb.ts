/** Linear light of an sRGB code, in [0, 1]: IEC 61966-2-1, written out here so that tests do not lean on the code. */
export function linear(code: number): number {
  const encoded = code / 255;
  return encoded <= 0.04045 ? encoded / 12.92 : ((encoded + 0.055) / 1.055) ** 2.4;
}

/** The sRGB code whose light lies nearest, in [0, 255]; light beyond white is white. */
export function nearestCode(light: number): number {
  const encoded = light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055;
  return Math.max(0, Math.min(255, Math.round(255 * encoded)));
}
