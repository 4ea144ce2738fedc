/** Pixels across and down of the pattern; a power of two. */
export const TILE_SIDE = 64;

/** Levels to a code. */
const LEVELS = 256;

/** Knuth's MMIX numbers do not fit 32 bits; these are the multiplier and step that ANSI C suggests. From memory. */
const MULTIPLIER = 1_103_515_245;
const STEP = 12_345;

let tile: Uint8Array | null = null;

/**
 * What is added to codes, in parts of 256, before they are cut to 8 bits: every level as often as any other, in a mixed
 * order that is always the same. The mean of many rounded codes is then the mean of the codes.
 */
export function ditherTile(): Uint8Array {
  tile ??= mixed();
  return tile;
}

function mixed(): Uint8Array {
  const levels = Uint8Array.from({ length: TILE_SIDE * TILE_SIDE }, (_, i) => i % LEVELS);
  let state = 1;
  for (let last = levels.length - 1; last > 0; last--) {
    state = (Math.imul(state, MULTIPLIER) + STEP) >>> 0;
    // The low bits of such a generator repeat soon.
    const other = (state >>> 8) % (last + 1);
    const kept = levels[last] as number;
    levels[last] = levels[other] as number;
    levels[other] = kept;
  }
  return levels;
}
