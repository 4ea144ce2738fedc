const PRECISION = 16;
const CATEGORIES = 17;
const COMPONENTS = 2;

/**
 * Lossless JPEG (ITU-T T.81, process 14, predictor 1) of one plane of samples, as DNG holds mosaics: two neighbouring
 * columns are the two components of one scan, which share a Huffman table made for these samples.
 *
 * @param {Uint16Array} samples - row by row
 * @param {number} width - samples across; even
 * @param {number} height
 * @returns {Uint8Array}
 */
export function losslessJpeg(samples, width, height) {
  const counts = new Array(CATEGORIES).fill(0);
  eachDifference(samples, width, height, (_, category) => counts[category]++);
  const { lengths, order, codes } = huffman(counts);
  // A sample takes four bytes at most: a code and its bits, and a nought behind each byte of ones.
  const bits = new BitWriter(8 * samples.length);
  eachDifference(samples, width, height, (difference, category) => {
    bits.write(codes[category], lengths[category]);
    // A negative difference is written less one; the only one of category 16 has no bits of its own.
    if (category > 0 && category < 16) {
      bits.write(difference > 0 ? difference : difference + (1 << category) - 1, category);
    }
  });
  /** @param {number} value */
  const word = (value) => [value >> 8, value & 255];
  /** @param {number} length */
  const ofLength = (length) => order.filter((category) => lengths[category] === length).length;
  return Buffer.concat([
    Buffer.from([
      ...[0xff, 0xd8],
      ...[0xff, 0xc4, ...word(2 + 17 + order.length), 0],
      ...Array.from({ length: 16 }, (_, i) => ofLength(i + 1)),
      ...order,
      ...[0xff, 0xc3, ...word(8 + 3 * COMPONENTS), PRECISION, ...word(height), ...word(width / 2)],
      ...[COMPONENTS, 1, 0x11, 0, 2, 0x11, 0],
      ...[0xff, 0xda, ...word(6 + 2 * COMPONENTS), COMPONENTS, 1, 0, 2, 0, 1, 0, 0],
    ]),
    bits.finish(),
    Buffer.from([0xff, 0xd9]),
  ]);
}

/**
 * Calls back with every sample's difference from its prediction, from -32767 to 32768, and the bits that it takes.
 *
 * @param {Uint16Array} samples
 * @param {number} width
 * @param {number} height
 * @param {(difference: number, category: number) => void} use
 */
function eachDifference(samples, width, height, use) {
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const at = row * width + column;
      const before = row > 0 ? samples[at - width] : 1 << (PRECISION - 1);
      const predicted = column < COMPONENTS ? before : samples[at - COMPONENTS];
      const wrapped = (samples[at] - predicted) & 0xffff;
      const difference = wrapped > 0x8000 ? wrapped - 0x10000 : wrapped;
      use(difference, 32 - Math.clz32(Math.abs(difference)));
    }
  }
}

/**
 * A Huffman code of the symbols that occur, the shortest first.
 *
 * @param {number[]} counts - by symbol
 */
function huffman(counts) {
  const lengths = counts.map(() => 0);
  // One more symbol that never comes keeps the code of all ones free, which JPEG does not allow.
  const trees = [...counts.entries()]
    .filter(([, count]) => count > 0)
    .map(([symbol, count]) => ({ count, symbols: [symbol] }));
  trees.push({ count: 0, symbols: [-1] });
  while (trees.length > 1) {
    trees.sort((a, b) => b.count - a.count);
    const [a, b] = trees.splice(-2);
    const symbols = [...a.symbols, ...b.symbols];
    for (const symbol of symbols) if (symbol >= 0) lengths[symbol]++;
    trees.push({ count: a.count + b.count, symbols });
  }
  const order = [...counts.keys()]
    .filter((symbol) => lengths[symbol] > 0)
    .sort((a, b) => lengths[a] - lengths[b] || a - b);
  const codes = counts.map(() => 0);
  let code = 0;
  for (const [i, symbol] of order.entries()) {
    if (i > 0) code = (code + 1) << (lengths[symbol] - lengths[order[i - 1]]);
    codes[symbol] = code;
  }
  return { lengths, order, codes };
}

class BitWriter {
  #bytes;
  #length = 0;
  #pending = 0;
  #count = 0;

  /** @param {number} most - bytes */
  constructor(most) {
    this.#bytes = Buffer.alloc(most);
  }

  /**
   * Writes up to 17 bits.
   *
   * @param {number} value
   * @param {number} length
   */
  write(value, length) {
    this.#pending = (this.#pending << length) | value;
    this.#count += length;
    while (this.#count >= 8) {
      this.#count -= 8;
      const byte = (this.#pending >>> this.#count) & 255;
      this.#bytes[this.#length++] = byte;
      // A byte of all ones is followed by a nought, so that it is no marker.
      if (byte === 255) this.#bytes[this.#length++] = 0;
    }
  }

  finish() {
    if (this.#count > 0) this.write(2 ** (8 - this.#count) - 1, 8 - this.#count);
    return this.#bytes.subarray(0, this.#length);
  }
}
