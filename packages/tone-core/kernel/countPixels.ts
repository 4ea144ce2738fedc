// The counting kernel of 8-bit red, green, blue, and of a sensor's cells of four codes of 16 bits, in AssemblyScript:
// TypeScript's syntax, WebAssembly's types. `build.mjs` compiles it; `wasmRgbCounter.ts`, `wasmCellCounter.ts` and
// `codeCounts.ts` in `src/histogram` feed it. It has no imports and grows no memory.
//
// Luminance is a whole number of units in a double: sums of it are exact, and a double's own exponent and leading nine
// bits of mantissa are the octave and the place in it that the tally's bins are cut by. Red and green are looked up as one
// code of 16 bits. So a pixel costs two reads, one addition and one count, and no logarithm. Four pixels are worked on at a
// time, each counted in a bank of its own, so that pixels of one tone do not wait for each other's count.

/** Bytes of a bank of bins: 31 octaves of 512 counts of four bytes, and a little to spare. */
export const BANK_BYTES: i32 = 0x10000;
/** Where the bins begin: as far up as the smallest whole number's bit pattern, shifted, reaches. See {@link binOf}. */
export const BINS: i32 = 1023 << 11;
/** Three tables of 256 doubles: the light of a code, in units. */
export const TABLES: i32 = 0x40000;
/** Pixels wait here to be counted, up to {@link INPUT_PIXELS}, and a group may be read past the last. */
export const INPUT: i32 = 0x50000;
/** Room for what is made of {@link INPUT}, as large, and a vector or two past its end. */
export const OUTPUT: i32 = 0x80000;
/** Two vectors of eight codes of 16 bits: the clip codes of a cell's four channels, twice; then the crush codes. */
export const CELL_ENDS: i32 = 0x42000;
/** Four tables of 65,536 doubles for a sensor's channels: the light of a code, in units. */
export const CELL_TABLES: i32 = 0x250000;
/** Counts of a sensor's codes, channel by channel: 65,536 of four bytes each. */
export const CODE_COUNTS: i32 = 0x450000;
/** Bytes of the counts of a channel. */
const CODES_BYTES: i32 = 0x40000;
/** A table of 65,536 doubles: the light of a red and a green code together. See {@link pairTables}. */
const PAIRS: i32 = 0x550000;
/** Some 128 KB: small enough to stay in the processor's cache, and a sum of it stays exact in a double. */
export const INPUT_PIXELS: i32 = 43680;

/** Light of all pixels whose tone was counted, in units. */
export let sum: i64 = 0;
/** How many they were. */
export let toned: i32 = 0;
/** Pixels with a channel at 255, and how many are so in each. */
export let clipped: i32 = 0;
export let clippedRed: i32 = 0;
export let clippedGreen: i32 = 0;
export let clippedBlue: i32 = 0;
/** Pixels at 0 in every channel. */
export let crushed: i32 = 0;
/** Of a sensor: samples clipped in each of its four channels. */
export let clipped0: i32 = 0;
export let clipped1: i32 = 0;
export let clipped2: i32 = 0;
export let clipped3: i32 = 0;

/** Pixels looked at together for codes at the ends of the scale: 48 bytes, three vectors. */
const GROUP: i32 = 16;
/** One bit for every byte of a group, and for every red one. */
const ALL: u64 = 0xffffffffffff;
const REDS: u64 = 0x249249249249;

/** Forgets everything but the tables. */
export function clear(): void {
  for (let bank = 0; bank < 4; bank++) store<u32>(BANK_BYTES * bank, 0);
  memory.fill(BINS, 0, 4 * BANK_BYTES);
  sum = 0;
  toned = 0;
  clipped = 0;
  clippedRed = 0;
  clippedGreen = 0;
  clippedBlue = 0;
  crushed = 0;
  clipped0 = 0;
  clipped1 = 0;
  clipped2 = 0;
  clipped3 = 0;
}

/**
 * Lays pairs of rows at {@link INPUT} out as cells of two by two at {@link OUTPUT}: two codes of the upper row, two of the
 * lower. Four cells at a time; what goes past the last of a pair of rows, the next pair writes over.
 *
 * @param pairs - pairs of rows
 * @param pitch - codes from one row to the next
 * @param left - code of a row that the first cell begins with
 * @param cells - cells in a row of them
 */
export function pairRows(pairs: i32, pitch: i32, left: i32, cells: i32): void {
  for (let pair = 0; pair < pairs; pair++) {
    let upper = INPUT + 2 * (2 * pair * pitch + left);
    let to = OUTPUT + 8 * pair * cells;
    for (const end = to + 8 * cells; to < end; to += 32) {
      const a = v128.load(upper);
      const b = v128.load(upper + 2 * pitch);
      v128.store(to, v128.shuffle<u32>(a, b, 0, 4, 1, 5));
      v128.store(to, v128.shuffle<u32>(a, b, 2, 6, 3, 7), 16);
      upper += 16;
    }
  }
}

/**
 * Counts the ends of cells of four codes of 16 bits at {@link INPUT}, two at a time. An odd last one wants a cell behind it
 * that lies between the ends.
 */
export function countCells(cells: i32): void {
  const clips = v128.load(CELL_ENDS);
  const crushes = v128.load(CELL_ENDS, 16);
  const full = i64x2.splat(-1);
  for (let at = INPUT, end = INPUT + 8 * cells; at < end; at += 16) {
    const codes = v128.load(at);
    const over = i16x8.ge_u(codes, clips);
    const under = i64x2.eq(i16x8.le_u(codes, crushes), full);
    if (!v128.any_true(v128.or(over, under))) continue;
    // A bit a sample, four to a cell.
    const bits = <u32>i16x8.bitmask(over);
    clipped += <i32>popcnt((bits | (bits >> 1) | (bits >> 2) | (bits >> 3)) & 0x11);
    clipped0 += <i32>popcnt(bits & 0x11);
    clipped1 += <i32>popcnt(bits & 0x22);
    clipped2 += <i32>popcnt(bits & 0x44);
    clipped3 += <i32>popcnt(bits & 0x88);
    crushed += <i32>popcnt(i64x2.bitmask(under));
  }
}

/** Makes the table of red and green together; to be called when the tables have changed. */
export function pairTables(): void {
  for (let code = 0; code < 0x10000; code++) {
    const red = load<f64>(TABLES + ((code & 0xff) << 3));
    const green = load<f64>(TABLES + 2048 + ((code >> 8) << 3));
    store<f64>(PAIRS + (code << 3), red + green);
  }
}

/**
 * Counts the tones of every `step`th cell at {@link INPUT}. Light below zero, from noise under black, is in the sum
 * and counts as zero.
 *
 * @param first - the first whose tone is counted
 * @param table0 - address of the first channel's table; then of the others', which may share one
 */
export function countCellTones(
  cells: i32,
  first: i32,
  step: i32,
  table0: i32,
  table1: i32,
  table2: i32,
  table3: i32,
): void {
  const stride = 8 * step;
  const end = INPUT + 8 * cells;
  let at = INPUT + 8 * first;
  let y0: f64 = 0;
  let y1: f64 = 0;
  let y2: f64 = 0;
  let y3: f64 = 0;
  let counted = 0;
  for (; at + 3 * stride < end; at += 4 * stride) {
    const a = lightOfCell(at, table0, table1, table2, table3);
    const b = lightOfCell(at + stride, table0, table1, table2, table3);
    const c = lightOfCell(at + 2 * stride, table0, table1, table2, table3);
    const d = lightOfCell(at + 3 * stride, table0, table1, table2, table3);
    y0 += a;
    y1 += b;
    y2 += c;
    y3 += d;
    countBin(binOf(max(a, 0)));
    countBin(BANK_BYTES + binOf(max(b, 0)));
    countBin(2 * BANK_BYTES + binOf(max(c, 0)));
    countBin(3 * BANK_BYTES + binOf(max(d, 0)));
    counted += 4;
  }
  for (; at < end; at += stride) {
    const light = lightOfCell(at, table0, table1, table2, table3);
    y0 += light;
    countBin(binOf(max(light, 0)));
    counted++;
  }
  sum += <i64>(y0 + y1 + y2 + y3);
  toned += counted;
}

/** Light of a cell, in units. */
function lightOfCell(at: i32, table0: i32, table1: i32, table2: i32, table3: i32): f64 {
  return (
    load<f64>(table0 + ((<i32>load<u16>(at)) << 3)) +
    load<f64>(table1 + ((<i32>load<u16>(at, 2)) << 3)) +
    load<f64>(table2 + ((<i32>load<u16>(at, 4)) << 3)) +
    load<f64>(table3 + ((<i32>load<u16>(at, 6)) << 3))
  );
}

/** Counts the codes of the cells at {@link INPUT}, channel by channel. */
export function countCodes(cells: i32): void {
  for (let at = INPUT, end = INPUT + 8 * cells; at < end; at += 8) {
    const codes = load<u64>(at);
    countBin(CODE_COUNTS + ((<i32>codes & 0xffff) << 2));
    countBin(CODE_COUNTS + CODES_BYTES + (<i32>(codes >> 14) & 0x3fffc));
    countBin(CODE_COUNTS + 2 * CODES_BYTES + (<i32>(codes >> 30) & 0x3fffc));
    countBin(CODE_COUNTS + 3 * CODES_BYTES + (<i32>(codes >> 46) & 0x3fffc));
  }
}

/** Forgets the codes that were counted. */
export function clearCodes(): void {
  memory.fill(CODE_COUNTS, 0, 4 * CODES_BYTES);
}

/**
 * Counts the ends of all pixels at {@link INPUT}, and the tone of every `step`th.
 *
 * @param first - the first whose tone is counted
 */
export function countPixels(pixels: i32, first: i32, step: i32): void {
  countAllEnds(pixels);
  const stride = 3 * step;
  const end = INPUT + 3 * pixels;
  let at = INPUT + 3 * first;
  let y0: f64 = 0;
  let y1: f64 = 0;
  let y2: f64 = 0;
  let y3: f64 = 0;
  let counted = 0;
  for (; at + 3 * stride < end; at += 4 * stride) {
    const a = lightOf(at);
    const b = lightOf(at + stride);
    const c = lightOf(at + 2 * stride);
    const d = lightOf(at + 3 * stride);
    y0 += a;
    y1 += b;
    y2 += c;
    y3 += d;
    countBin(binOf(a));
    countBin(BANK_BYTES + binOf(b));
    countBin(2 * BANK_BYTES + binOf(c));
    countBin(3 * BANK_BYTES + binOf(d));
    counted += 4;
  }
  for (; at < end; at += stride) {
    const light = lightOf(at);
    y0 += light;
    countBin(binOf(light));
    counted++;
  }
  sum += <i64>(y0 + y1 + y2 + y3);
  toned += counted;
}

function countAllEnds(pixels: i32): void {
  const end = INPUT + 3 * pixels;
  const whole = INPUT + 3 * (pixels & ~(GROUP - 1));
  for (let at = INPUT; at < whole; at += 3 * GROUP) {
    if (holdsEnd(at)) countEnds(at, ALL);
  }
  if (whole < end) countEnds(whole, ALL >> (3 * GROUP - (end - whole)));
}

/** Light of a pixel, in units. */
function lightOf(at: i32): f64 {
  return (
    load<f64>(PAIRS + ((<i32>load<u16>(at)) << 3)) +
    load<f64>(TABLES + 4096 + ((<i32>load<u8>(at, 2)) << 3))
  );
}

/** One more in the bin at an address. */
function countBin(bin: i32): void {
  store<u32>(bin, load<u32>(bin) + 1);
}

/**
 * Place of a luminance's count within the first bank: exponent and nine bits of mantissa, times four bytes. One unit, the
 * smallest that is not nought, has the biased exponent 1023 and lands on {@link BINS}; nought has no bits at all and lands
 * on address 0 of its bank, far below.
 */
function binOf(light: f64): i32 {
  return <i32>(reinterpret<u64>(light) >> 41) & ~3;
}

/** Whether a byte of the 48 at an address is 255 or 0: few groups hold one, and only those are looked at closely. */
function holdsEnd(at: i32): bool {
  const a = v128.load(at);
  const b = v128.load(at, 16);
  const c = v128.load(at, 32);
  const lightest = i8x16.max_u(i8x16.max_u(a, b), c);
  const darkest = i8x16.min_u(i8x16.min_u(a, b), c);
  return v128.any_true(
    v128.or(i8x16.eq(lightest, i8x16.splat(-1)), i8x16.eq(darkest, i8x16.splat(0))),
  );
}

/** Counts codes 255 and 0 in the 16 pixels at an address, of which `mask` has the bytes that count. */
function countEnds(at: i32, mask: u64): void {
  const a = v128.load(at);
  const b = v128.load(at, 16);
  const c = v128.load(at, 32);
  const white = i8x16.splat(-1);
  const black = i8x16.splat(0);
  const whites = mask & bitsOf(i8x16.eq(a, white), i8x16.eq(b, white), i8x16.eq(c, white));
  const blacks = mask & bitsOf(i8x16.eq(a, black), i8x16.eq(b, black), i8x16.eq(c, black));
  clipped += <i32>popcnt((whites | (whites >> 1) | (whites >> 2)) & REDS);
  clippedRed += <i32>popcnt(whites & REDS);
  clippedGreen += <i32>popcnt(whites & (REDS << 1));
  clippedBlue += <i32>popcnt(whites & (REDS << 2));
  crushed += <i32>popcnt(blacks & (blacks >> 1) & (blacks >> 2) & REDS);
}

/** One bit a byte of three vectors, the first byte lowest. */
function bitsOf(a: v128, b: v128, c: v128): u64 {
  return <u64>i8x16.bitmask(a) | ((<u64>i8x16.bitmask(b)) << 16) | ((<u64>i8x16.bitmask(c)) << 32);
}
