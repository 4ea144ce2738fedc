import { randomFrom } from "./random.mjs";

/** Where a format keeps its claims: damage is sown there more often than among the pixels. */
const HEADER_BYTES = 2048;
const MOST_CHANGES = 4;

/** Lengths, counts and offsets that make readers believe in more than there is. */
const BOMBS = [0, 1, 0x7fff, 0xffff, 0x7fffffff, 0x80000000, 0xfffffffe, 0xffffffff];

/**
 * @callback Damage
 * @param {Buffer} bytes
 * @param {import("./random.mjs").Random} random
 * @param {Uint8Array} other - another file
 * @returns {Buffer}
 */

/** @type {Readonly<Record<string, Damage>>} */
const CHANGES = {
  flip: (bytes, random) => {
    const changed = Buffer.from(bytes);
    for (let flips = 1 + random.whole(8); flips > 0; flips--) {
      changed[place(bytes, random)] ^= 1 << random.whole(8);
    }
    return changed;
  },
  insert: (bytes, random) => {
    const at = place(bytes, random);
    const noise = Buffer.from(
      Array.from({ length: 1 + random.whole(64) }, () => random.whole(256)),
    );
    return Buffer.concat([bytes.subarray(0, at), noise, bytes.subarray(at)]);
  },
  remove: (bytes, random) => {
    const at = place(bytes, random);
    return Buffer.concat([bytes.subarray(0, at), bytes.subarray(at + 1 + random.whole(256))]);
  },
  truncate: (bytes, random) => bytes.subarray(0, random.whole(bytes.length)),
  splice: (bytes, random, other) =>
    Buffer.concat([
      bytes.subarray(0, place(bytes, random)),
      other.subarray(random.whole(other.length)),
    ]),
  bomb: (bytes, random) => {
    const changed = Buffer.from(bytes);
    const write = random.of(
      /** @type {const} */ (["writeUInt16LE", "writeUInt16BE", "writeUInt32LE", "writeUInt32BE"]),
    );
    const most = write.includes("16") ? 0xffff : 0xffffffff;
    if (changed.length >= 4) {
      const at = Math.min(place(bytes, random), changed.length - 4);
      changed[write](Math.min(random.of(BOMBS), most), at);
    }
    return changed;
  },
  zeros: (bytes, random) => {
    const changed = Buffer.from(bytes);
    const at = place(bytes, random);
    return changed.fill(0, at, Math.min(at + 16 + random.whole(4096), changed.length));
  },
};

/**
 * A damaged copy of a file; the same seed gives the same damage.
 *
 * @param {Uint8Array} bytes
 * @param {readonly Uint8Array[]} others - files to splice with
 * @param {number} seed
 * @returns {{ bytes: Buffer, changes: string[] }}
 */
export function mutate(bytes, others, seed) {
  const random = randomFrom(seed);
  const changes = [];
  /** @type {Buffer} */
  let damaged = Buffer.from(bytes);
  for (let left = 1 + random.whole(MOST_CHANGES); left > 0 && damaged.length > 0; left--) {
    const change = random.of(Object.keys(CHANGES));
    damaged = CHANGES[change](damaged, random, random.of(others));
    changes.push(change);
  }
  return { bytes: damaged, changes };
}

/**
 * @param {Uint8Array} bytes
 * @param {import("./random.mjs").Random} random
 */
function place(bytes, random) {
  const reach = random.next() < 0.7 ? Math.min(HEADER_BYTES, bytes.length) : bytes.length;
  return random.whole(reach);
}
