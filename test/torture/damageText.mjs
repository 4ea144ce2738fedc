import { randomFrom } from "./random.mjs";

const MOST_CHANGES = 3;

/**
 * Ways in which a file of lines is damaged on its way.
 *
 * @type {Readonly<Record<string, (bytes: Buffer, random: import("./random.mjs").Random) => Buffer>>}
 */
const CHANGES = {
  flip: (bytes, random) => {
    const changed = Buffer.from(bytes);
    changed[random.whole(bytes.length)] ^= 1 << random.whole(8);
    return changed;
  },
  cut: (bytes, random) => bytes.subarray(0, random.whole(bytes.length)),
  lose: (bytes, random) => {
    const at = random.whole(bytes.length);
    return Buffer.concat([bytes.subarray(0, at), bytes.subarray(at + 1 + random.whole(200))]);
  },
  insert: (bytes, random) => {
    const at = random.whole(bytes.length);
    const noise = Array.from({ length: 1 + random.whole(16) }, () => random.whole(256));
    return Buffer.concat([bytes.subarray(0, at), Buffer.from(noise), bytes.subarray(at)]);
  },
  nulls: (bytes, random) => {
    const at = random.whole(bytes.length);
    return Buffer.from(bytes).fill(0, at, Math.min(bytes.length, at + 1 + random.whole(300)));
  },
  digit: (bytes, random) => {
    // The damage that shows least: another digit where a digit was.
    const changed = Buffer.from(bytes);
    const digits = [...bytes.keys()].filter((at) => bytes[at] >= 0x30 && bytes[at] <= 0x39);
    if (digits.length > 0) changed[random.of(digits)] = 0x30 + random.whole(10);
    return changed;
  },
  double: (bytes, random) => {
    const lines = linesOf(bytes);
    const at = random.whole(lines.length);
    return Buffer.concat(lines.toSpliced(at, 0, lines[at]));
  },
  swap: (bytes, random) => {
    const lines = linesOf(bytes);
    const [a, b] = [random.whole(lines.length), random.whole(lines.length)];
    [lines[a], lines[b]] = [lines[b], lines[a]];
    return Buffer.concat(lines);
  },
};

/** @param {Buffer} bytes */
function linesOf(bytes) {
  const lines = [];
  for (let from = 0; from < bytes.length; ) {
    const end = bytes.indexOf(10, from);
    const next = end < 0 ? bytes.length : end + 1;
    lines.push(bytes.subarray(from, next));
    from = next;
  }
  return lines;
}

/**
 * A damaged copy of a file of lines; the same seed gives the same damage.
 *
 * @param {Uint8Array} bytes
 * @param {number} seed
 * @returns {{ bytes: Buffer, changes: string[] }}
 */
export function damageText(bytes, seed) {
  const random = randomFrom(seed);
  const changes = [];
  /** @type {Buffer} */
  let damaged = Buffer.from(bytes);
  for (let left = 1 + random.whole(MOST_CHANGES); left > 0 && damaged.length > 0; left--) {
    const change = random.of(Object.keys(CHANGES));
    damaged = CHANGES[change](damaged, random);
    changes.push(change);
  }
  return { bytes: damaged, changes };
}
