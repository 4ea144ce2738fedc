/**
 * What the harbour is made of: for each surface its reflectance (linear red, green, blue), its relief and its sheen.
 *
 * A surface is painted on two coordinates in metres: along and up a flat face, or the texture of a curved sheet.
 *
 * @typedef {object} Material
 * @property {(a: number, b: number, out: Float64Array) => void} paint - writes the reflectances, each in [0, 1]
 * @property {(a: number, b: number) => number} [relief] - height of the surface, metres
 * @property {boolean} [sheet] - painted on the texture of a curved sheet
 * @property {number} [sheen] - share of light mirrored, seen straight on
 * @property {number} [polish] - sharpness of the sheen: 10 dull to 400 glossy
 * @property {boolean} [water]
 * @property {boolean} [lamp] - gives light of its own
 * @property {boolean} [far] - seen through haze
 */
import { cloud, courses, hash, mix, noise, rubble, smooth } from "./noise.mjs";

/** Relative luminance of linear sRGB [IEC 61966-2-1, by way of Rec. 709]. */
const LUMINANCE = [0.2126, 0.7152, 0.0722];

/**
 * Reflectances of a hue with a given luminance.
 *
 * @param {[number, number, number]} hue - proportions of linear red, green, blue
 * @param {number} reflectance - luminance reflectance
 * @returns {[number, number, number]}
 */
function toned(hue, reflectance) {
  const luminance = hue.reduce((sum, value, i) => sum + value * LUMINANCE[i], 0);
  return /** @type {[number, number, number]} */ (
    hue.map((value) => (value / luminance) * reflectance)
  );
}

/**
 * @param {Float64Array} out
 * @param {readonly number[]} colour
 * @param {number} factor
 */
function lay(out, colour, factor) {
  for (let i = 0; i < 3; i++) out[i] = Math.max(0.002, colour[i] * factor);
}

/**
 * @param {Float64Array} out
 * @param {readonly number[]} colour
 * @param {number} share
 */
function stain(out, colour, share) {
  for (let i = 0; i < 3; i++) out[i] = mix(out[i], colour[i], share);
}

const DEEP = toned([0.5, 1, 0.95], 0.025);
const TAR = toned([1, 0.93, 0.84], 0.042);
const BARE_WOOD = toned([1, 0.78, 0.55], 0.17);
const GUNWALE = toned([1, 0.72, 0.36], 0.3);
const LIME = toned([1, 0.97, 0.9], 0.8);
const DAMP = toned([0.8, 0.9, 0.55], 0.16);
const RUST = toned([1, 0.62, 0.36], 0.4);
const SLATE = toned([0.95, 1, 1.05], 0.205);
const MOSS = toned([0.72, 1, 0.22], 0.13);
const STRAW = toned([1, 0.95, 0.42], 0.19);
const EARTH = toned([1, 0.74, 0.5], 0.08);
const STONE = toned([1, 0.94, 0.84], 0.25);
const WEED = toned([0.6, 0.8, 0.25], 0.06);
const GREY_WOOD = toned([1, 0.96, 0.9], 0.24);
const DOOR = toned([0.42, 0.9, 1], 0.12);
const HEATHER = toned([0.85, 1, 0.72], 0.13);
const SAIL = toned([1, 0.95, 0.85], 0.7);
const HEMP = toned([1, 0.8, 0.52], 0.07);
const RED = toned([1, 0.085, 0.055], 0.132);
const SCUFFED = toned([1, 0.3, 0.22], 0.18);
const GREEN = toned([0.1, 1, 0.34], 0.168);
const LAMPLIGHT = toned([1, 0.74, 0.4], 1);
const LIMED_INSIDE = toned([1, 0.96, 0.88], 0.45);

/** @type {Record<string, Material>} */
const TABLE = {
  water: {
    water: true,
    paint: (_a, _b, out) => lay(out, DEEP, 1),
  },
  tar: {
    sheet: true,
    sheen: 0.022,
    polish: 18,
    paint: (a, b, out) => {
      const brushed = cloud(a * 1.2, b * 30, 0, 3);
      const blotch = cloud(a * 2.4, b * 3.1, 4, 4);
      lay(out, TAR, 1 + 0.35 * brushed + 0.45 * blotch);
      const worn = smooth(0.4, 0.75, cloud(a * 3, b * 14, 8, 4) + 0.25 * cloud(a * 0.6, b, 2, 2));
      stain(out, BARE_WOOD, 0.4 * worn);
      const nail = Math.abs(((a / 0.22) % 1) - 0.5) * 0.22;
      const up = (b / 0.2) % 1;
      if (nail < 0.008 && Math.abs(up - 0.12) < 0.04) lay(out, RUST, 0.35);
    },
    relief: (a, b) => 0.0022 * cloud(a * 2.5, b * 45, 1, 3) + 0.003 * cloud(a * 6, b * 6, 3, 2),
  },
  gunwale: {
    sheet: true,
    sheen: 0.03,
    polish: 40,
    paint: (a, b, out) => lay(out, GUNWALE, 1 + 0.3 * cloud(a * 2, b * 40, 0, 4)),
  },
  limewash: {
    paint: (a, b, out) => {
      const { edge, stone } = wallStones(a, b);
      const coat = cloud(a * 1.1, b * 1.1, 2, 5);
      lay(out, LIME, 0.97 + 0.12 * coat + 0.04 * (stone - 0.5) - 0.06 * (1 - smooth(0, 0.1, edge)));
      const brush = cloud(a * 4, b * 22, 5, 3);
      for (let i = 0; i < 3; i++) out[i] *= 1 + 0.035 * brush;
      const bare = smooth(0.36, 0.52, cloud(a * 2.3 + 7, b * 2.3, 6, 6));
      stain(out, STONE, 0.6 * bare);
      const streak = smooth(0.3, 0.8, cloud(a * 5, b * 0.45, 9, 4));
      stain(out, RUST, 0.14 * streak);
      const damp = smooth(0.9, 0, b - 1 + 0.45 * cloud(a * 1.7, b, 3, 4));
      stain(out, DAMP, 0.75 * damp);
    },
    relief: (a, b) => {
      const { edge, stone } = wallStones(a, b);
      return 0.012 * smooth(0, 0.35, edge) + 0.014 * stone + 0.016 * cloud(a * 4, b * 4, 1, 5);
    },
  },
  inside: {
    paint: (a, b, out) => lay(out, LIMED_INSIDE, 1 + 0.3 * cloud(a * 1.3, b * 1.3, 0, 4)),
    relief: (a, b) => 0.02 * smooth(0, 0.3, rubble(a * 2.3, b * 3.2).edge),
  },
  slip: {
    sheen: 0.02,
    polish: 20,
    paint: (a, b, out) => {
      const { edge, stone } = courses(a, b, 0.42, 0.19);
      const grain = cloud(a * 9, b * 9, 0, 4);
      lay(out, SLATE, 0.66 + 0.62 * stone + 0.24 * grain + 0.22 * cloud(a * 0.7, b * 0.7, 3, 3));
      stain(out, EARTH, 0.75 * (1 - smooth(0.002, 0.012, edge)));
      const moss = smooth(0.3, 0.6, cloud(a * 1.3, b * 1.3, 5, 4) - 6 * edge);
      stain(out, MOSS, 0.5 * moss);
      const wet = smooth(3.0, 4.4, b + 0.5 * cloud(a * 1.4, b * 1.4, 7, 3));
      for (let i = 0; i < 3; i++) out[i] *= 1 - 0.62 * wet;
      stain(out, WEED, 0.55 * smooth(4.0, 5, b + 0.5 * cloud(a * 3, b * 3, 8, 3)));
    },
    relief: (a, b) => {
      const { edge, stone } = courses(a, b, 0.42, 0.19);
      return 0.016 * smooth(0, 0.022, edge) + 0.012 * stone + 0.005 * cloud(a * 14, b * 9, 2, 3);
    },
  },
  roof: {
    sheen: 0.03,
    polish: 14,
    paint: (a, b, out) => {
      const { stone, up } = courses(a, b, 0.34, 0.2);
      lay(
        out,
        SLATE,
        (0.55 + 0.3 * stone + 0.15 * cloud(a * 7, b * 7, 0, 3)) * (0.6 + 0.4 * smooth(0, 0.14, up)),
      );
      stain(out, MOSS, 0.6 * smooth(0.36, 0.6, cloud(a * 1.1, b * 1.1, 5, 5)));
    },
    relief: (a, b) => {
      const { stone, up, edge } = courses(a, b, 0.34, 0.2);
      return 0.016 * (1 - up) + 0.008 * stone + 0.01 * smooth(0, 0.012, edge);
    },
  },
  quay: {
    paint: (a, b, out) => {
      const { edge, stone } = courses(a, b, 0.95, 0.46);
      lay(out, STONE, 0.78 + 0.4 * stone + 0.25 * cloud(a * 5, b * 5, 0, 5));
      stain(out, EARTH, 0.7 * (1 - smooth(0.004, 0.02, edge + 0.006 * noise(a * 15, b * 15, 1))));
      stain(out, MOSS, 0.55 * smooth(0.35, 0.6, cloud(a * 0.9, b * 0.9, 3, 4)));
    },
    relief: (a, b) => {
      const { edge, stone } = courses(a, b, 0.95, 0.46);
      return 0.02 * smooth(0, 0.03, edge) + 0.008 * stone + 0.01 * cloud(a * 8, b * 8, 2, 4);
    },
  },
  quayFace: {
    paint: (a, b, out) => {
      const { edge, stone } = courses(a, b, 0.8, 0.34);
      lay(out, STONE, 0.75 + 0.45 * stone + 0.25 * cloud(a * 5, b * 5, 0, 5));
      stain(out, EARTH, 0.7 * (1 - smooth(0.004, 0.025, edge)));
      stain(out, WEED, 0.9 * smooth(0.75, 0.3, b + 0.16 * cloud(a * 3, b * 3, 4, 4)));
    },
    relief: (a, b) =>
      0.03 * smooth(0, 0.04, courses(a, b, 0.8, 0.34).edge) + 0.014 * cloud(a * 7, b * 7, 2, 4),
  },
  moss: {
    sheet: true,
    paint: (a, b, out) => {
      const tuft = cloud(a * 7, b * 7, 0, 4);
      const patch = cloud(a * 1.1, b * 1.1, 3, 4);
      lay(out, MOSS, 0.95 + 0.7 * tuft + 0.35 * patch);
      stain(out, STRAW, 0.45 * smooth(0.1, 0.6, cloud(a * 1.7, b * 1.7, 6, 5)));
      stain(out, EARTH, 0.6 * smooth(0.25, 0.6, cloud(a * 2.1, b * 2.1, 8, 4)));
      if (hash(Math.floor(a * 40), Math.floor(b * 40), 2) > 0.992) stain(out, LIME, 0.5);
    },
    relief: (a, b) => 0.06 * cloud(a * 6, b * 6, 0, 6),
  },
  jetty: {
    sheen: 0.015,
    polish: 14,
    paint: (a, b, out) => {
      const board = Math.floor(b / 0.16);
      const knot = cloud(a * 1.1 + 5 * hash(board, 1, 1), b * 26, board, 5);
      lay(out, GREY_WOOD, 0.8 + 0.4 * hash(board, 3, 2) + 0.42 * knot);
      stain(out, MOSS, 0.3 * smooth(0.35, 0.7, cloud(a * 2, b * 2, 5, 3)));
    },
    relief: (a, b) => 0.006 * cloud(a * 1.1, b * 34, Math.floor(b / 0.16), 3),
  },
  post: {
    paint: (a, b, out) => {
      lay(out, GREY_WOOD, 0.62 + 0.5 * cloud(a * 16, b * 1.2, 0, 4));
      stain(out, WEED, 0.9 * smooth(0.5, 0.1, b + 0.1 * cloud(a * 6, b * 6, 2, 3)));
    },
    relief: (a, b) => 0.008 * cloud(a * 18, b * 1.4, 1, 3),
  },
  spar: {
    sheet: true,
    sheen: 0.03,
    polish: 40,
    paint: (a, b, out) => lay(out, GUNWALE, 0.75 + 0.3 * cloud(a * 1.5, b * 30, 0, 4)),
  },
  door: {
    paint: (a, b, out) => {
      const plank = Math.floor(a / 0.17);
      const gap = Math.abs(a / 0.17 - plank - 0.5);
      lay(out, DOOR, 0.85 + 0.3 * hash(plank, 2, 7) + 0.25 * cloud(a * 20, b * 1.2, plank, 4));
      if (gap > 0.46) lay(out, EARTH, 0.4);
      stain(out, BARE_WOOD, 0.5 * smooth(0.4, 0.62, cloud(a * 6, b * 2, 4, 4)));
    },
  },
  timber: {
    paint: (a, b, out) => lay(out, BARE_WOOD, 0.55 + 0.3 * cloud(a * 4, b * 4, 0, 4)),
  },
  hills: {
    sheet: true,
    far: true,
    paint: (a, b, out) => {
      lay(out, HEATHER, 1 + 0.5 * cloud(a * 0.12, b * 0.2, 0, 5));
      stain(out, EARTH, 0.5 * smooth(0.1, 0.5, cloud(a * 0.05, b * 0.1, 4, 4)));
    },
    relief: (a, b) => 1.2 * cloud(a * 0.1, b * 0.1, 2, 4),
  },
  sail: {
    sheet: true,
    paint: (a, b, out) => {
      const weave = 0.03 * Math.sin(a * 700) * Math.sin(b * 700);
      lay(out, SAIL, 1 + weave + 0.1 * cloud(a * 1.5, b * 1.5, 0, 5));
      const seam = Math.abs((((a + 0.13) / 0.52) % 1) - 0.5) * 0.52;
      if (seam < 0.022) lay(out, SAIL, 0.86 + (seam < 0.003 || seam > 0.019 ? -0.22 : 0));
      stain(out, RUST, 0.25 * smooth(0.3, 0.75, cloud(a * 1.1, b * 2.4, 7, 4)));
    },
    relief: (a, b) => 0.004 * cloud(a * 9, b * 5, 0, 4),
  },
  rope: {
    sheet: true,
    sheen: 0.05,
    polish: 60,
    paint: (a, b, out) => {
      const strand = (a / 0.075 + b / 0.19) % 1;
      const hollow = Math.min(Math.abs(strand), Math.abs(1 - strand));
      lay(
        out,
        HEMP,
        (0.5 + 0.6 * smooth(0, 0.2, hollow)) * (1 + 0.3 * cloud(a * 60, b * 60, 0, 3)),
      );
    },
    relief: (a, b) => {
      const strand = (((a / 0.075 + b / 0.19) % 1) + 1) % 1;
      return 0.012 * Math.sqrt(Math.sin(Math.PI * strand)) + 0.002 * cloud(a * 90, b * 20, 0, 2);
    },
  },
  buoy: {
    sheet: true,
    sheen: 0.035,
    polish: 90,
    paint: (a, b, out) => {
      lay(out, RED, 1 + 0.16 * cloud(a * 2, b * 3, 0, 5));
      stain(out, SCUFFED, 0.5 * smooth(0.3, 0.6, cloud(a * 9, b * 14, 4, 4)));
    },
    relief: (a, b) => 0.003 * cloud(a * 12, b * 12, 0, 3),
  },
  iron: {
    sheet: true,
    sheen: 0.05,
    polish: 20,
    paint: (a, b, out) => lay(out, RUST, 0.22 + 0.1 * cloud(a * 20, b * 20, 0, 3)),
  },
  net: {
    sheet: true,
    paint: (a, b, out) => {
      const cord = netCord(a, b);
      lay(out, GREEN, 0.4 + 0.75 * cord + 0.18 * cloud(a * 3, b * 3, 0, 4));
    },
    relief: (a, b) => 0.012 * netCord(a, b) + 0.03 * cloud(a * 4, b * 4, 5, 4),
  },
  glass: {
    lamp: true,
    paint: (a, b, out) => {
      const curtain = smooth(0.08, 0.2, Math.abs(a - 2.15) - 0.02 + 0.05 * noise(b * 5, 0, 0));
      lay(out, LAMPLIGHT, 1 - 0.45 * curtain + 0.12 * cloud(a * 14, b * 2, 0, 3));
    },
  },
};

/**
 * The rubble of a wall, its outlines roughened and its stones longer than high.
 *
 * @param {number} a
 * @param {number} b
 */
function wallStones(a, b) {
  const x = a * 2.9 + 0.35 * noise(a * 3.1, b * 3.1, 4) + 0.14 * noise(a * 9, b * 9, 5);
  const y = b * 5.2 + 0.35 * noise(a * 3.1, b * 3.1, 6) + 0.14 * noise(a * 9, b * 9, 7);
  return rubble(x, y);
}

/**
 * How much cord there is at a place of a net thrown in folds: two layers of diamonds, askew.
 *
 * @param {number} a
 * @param {number} b
 * @returns {number} in [0, 1]
 */
function netCord(a, b) {
  const x = a + 0.05 * noise(a * 3, b * 3, 1);
  const y = b + 0.05 * noise(a * 3, b * 3, 2);
  const first = diamond(x, y, 0.055);
  const second = diamond(x * 0.83 + y * 0.4, y * 0.83 - x * 0.4, 0.06);
  return Math.max(first, 0.75 * second);
}

/**
 * @param {number} x
 * @param {number} y
 * @param {number} size
 */
function diamond(x, y, size) {
  const one = Math.abs((((x + y) / size) % 1) + (x + y < 0 ? 1 : 0) - 0.5);
  const other = Math.abs((((x - y) / size) % 1) + (x - y < 0 ? 1 : 0) - 0.5);
  return 1 - smooth(0.05, 0.17, Math.min(one, other));
}

/** @type {readonly Material[]} */
export const MATERIALS = Object.values(TABLE);

/** Number of each material, by name. */
export const MATERIAL = Object.fromEntries(Object.keys(TABLE).map((name, i) => [name, i]));
