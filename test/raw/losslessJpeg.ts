/**
 * Lossless JPEG (ITU-T T.81, process 14, predictor 1) of one plane of samples, as DNG holds mosaics: two neighbouring
 * columns are the two components of one scan.
 *
 * @param samples - row by row, width × height, up to 16 bits
 * @param width - samples across; even
 */
export function losslessJpeg(samples: Uint16Array, width: number, height: number): Uint8Array {
  const bits = new BitWriter();
  const half = width / 2;
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < half; column++) {
      for (let component = 0; component < 2; component++) {
        const at = row * width + 2 * column + component;
        const predicted =
          column > 0 ? samples[at - 2] : row > 0 ? samples[at - width] : 1 << (PRECISION - 1);
        writeDifference(bits, ((samples[at] as number) - (predicted as number)) & 0xffff);
      }
    }
  }
  const components = 2;
  return Uint8Array.from([
    ...[0xff, 0xd8],
    ...[0xff, 0xc4, ...word(2 + 17 + CATEGORIES), 0x00],
    // Seventeen categories as codes of five bits: no optimum, but every one is there.
    ...Array.from({ length: 16 }, (_, i) => (i === CODE_LENGTH - 1 ? CATEGORIES : 0)),
    ...Array.from({ length: CATEGORIES }, (_, i) => i),
    ...[0xff, 0xc3, ...word(8 + 3 * components), PRECISION, ...word(height), ...word(half)],
    ...[components, 1, 0x11, 0, 2, 0x11, 0],
    ...[0xff, 0xda, ...word(6 + 2 * components), components, 1, 0, 2, 0, 1, 0, 0],
    ...bits.finish(),
    ...[0xff, 0xd9],
  ]);
}

const PRECISION = 16;
const CATEGORIES = 17;
const CODE_LENGTH = 5;

/** A difference modulo 2^16: its category (number of bits), then those bits, negatives as ones' complement. */
function writeDifference(bits: BitWriter, difference: number): void {
  const signed = difference > 0x8000 ? difference - 0x10000 : difference;
  const category = 32 - Math.clz32(Math.abs(signed));
  bits.write(category, CODE_LENGTH);
  // The one difference of category 16 (32768) has no further bits.
  if (category > 0 && category < 16) {
    bits.write(signed > 0 ? signed : signed + (1 << category) - 1, category);
  }
}

function word(value: number): [number, number] {
  return [value >> 8, value & 0xff];
}

class BitWriter {
  readonly #bytes: number[] = [];
  #pending = 0;
  #count = 0;

  write(value: number, length: number): void {
    for (let bit = length - 1; bit >= 0; bit--) {
      this.#pending = (this.#pending << 1) | ((value >> bit) & 1);
      if (++this.#count === 8) this.#push();
    }
  }

  finish(): number[] {
    while (this.#count > 0) this.write(1, 1);
    return this.#bytes;
  }

  #push(): void {
    this.#bytes.push(this.#pending);
    // A byte of all ones is followed by a zero, so that it is no marker.
    if (this.#pending === 0xff) this.#bytes.push(0);
    this.#pending = 0;
    this.#count = 0;
  }
}
