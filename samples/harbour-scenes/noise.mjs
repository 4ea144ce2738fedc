/**
 * Seeded noise: every figure follows from its coordinates alone, so a picture made twice is the same picture.
 */

/**
 * A pseudo-random number for three whole numbers.
 *
 * @param {number} x
 * @param {number} y
 * @param {number} z
 * @returns {number} in [0, 1)
 */
export function hash(x, y, z) {
  let h =
    Math.imul(x | 0, 0x27d4eb2d) ^ Math.imul(y | 0, 0x165667b1) ^ Math.imul(z | 0, 0x9e3779b1);
  h = Math.imul(h ^ (h >>> 15), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return ((h ^ (h >>> 16)) >>> 0) / 4294967296;
}

/**
 * Smooth noise with one bump per unit.
 *
 * @param {number} x
 * @param {number} y
 * @param {number} z
 * @returns {number} in [-1, 1]
 */
export function noise(x, y, z) {
  const i = Math.floor(x);
  const j = Math.floor(y);
  const k = Math.floor(z);
  const u = ease(x - i);
  const v = ease(y - j);
  const w = ease(z - k);
  const front = mix(
    mix(hash(i, j, k), hash(i + 1, j, k), u),
    mix(hash(i, j + 1, k), hash(i + 1, j + 1, k), u),
    v,
  );
  const back = mix(
    mix(hash(i, j, k + 1), hash(i + 1, j, k + 1), u),
    mix(hash(i, j + 1, k + 1), hash(i + 1, j + 1, k + 1), u),
    v,
  );
  return 2 * mix(front, back, w) - 1;
}

/**
 * Noise upon noise, each layer half as large and half as strong.
 *
 * @param {number} x
 * @param {number} y
 * @param {number} z
 * @param {number} layers - 1 or more
 * @returns {number} about in [-1, 1]
 */
export function cloud(x, y, z, layers) {
  let sum = 0;
  let strength = 0.5;
  for (let layer = 0; layer < layers; layer++) {
    sum += strength * noise(x, y, z + 17 * layer);
    x = x * 2.03 + 3.1;
    y = y * 2.03 + 1.7;
    z = z * 2.03 + 5.3;
    strength *= 0.5;
  }
  return sum / (1 - 0.5 ** layers);
}

/**
 * A field of rubble: distance from the nearest joint, and a number for the stone.
 *
 * @param {number} x
 * @param {number} y
 * @returns {{ edge: number, stone: number }} edge 0 in the joint, about 0.5 amid a stone; stone in [0, 1)
 */
export function rubble(x, y) {
  const column = Math.floor(x);
  const row = Math.floor(y);
  let nearest = 9;
  let second = 9;
  let stone = 0;
  for (let j = row - 1; j <= row + 1; j++) {
    for (let i = column - 1; i <= column + 1; i++) {
      const dx = i + 0.15 + 0.7 * hash(i, j, 1) - x;
      const dy = j + 0.15 + 0.7 * hash(i, j, 2) - y;
      const distance = Math.sqrt(dx * dx + dy * dy);
      if (distance < nearest) {
        second = nearest;
        nearest = distance;
        stone = hash(i, j, 3);
      } else if (distance < second) second = distance;
    }
  }
  return { edge: second - nearest, stone };
}

/**
 * Courses of stones or slates laid with broken joints.
 *
 * @param {number} x
 * @param {number} y
 * @param {number} length - of one stone
 * @param {number} height - of one course
 * @returns {{ edge: number, stone: number, across: number, up: number }} edge: distance to the nearest joint, in the
 * unit of x; stone in [0, 1); across and up in [0, 1) within the stone
 */
export function courses(x, y, length, height) {
  const row = Math.floor(y / height);
  const along = x / length + hash(row, 7, 1);
  const column = Math.floor(along);
  const across = along - column;
  const up = y / height - row;
  const edge = Math.min(Math.min(across, 1 - across) * length, Math.min(up, 1 - up) * height);
  return { edge, stone: hash(column, row, 5), across, up };
}

/**
 * 0 below one edge, 1 above the other, smooth between.
 *
 * @param {number} from
 * @param {number} to
 * @param {number} value
 */
export function smooth(from, to, value) {
  return ease(Math.min(1, Math.max(0, (value - from) / (to - from))));
}

/**
 * @param {number} a
 * @param {number} b
 * @param {number} share - of b
 */
export function mix(a, b, share) {
  return a + (b - a) * share;
}

/** @param {number} t */
function ease(t) {
  return t * t * (3 - 2 * t);
}
