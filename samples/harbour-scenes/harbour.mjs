/**
 * The small harbour, of our own invention: no place on any map.
 *
 * A boathouse with its gable to the water, a slate slip down from its door, a quay to the left with a tarred boat, a net
 * and a buoy, a bank of moss to the right, a jetty, hills behind. Metres; the water lies at height 0, the quay at 1.
 */
import { MATERIAL as M } from "./materials.mjs";
import { Mesh } from "./mesh.mjs";
import { cloud, hash, smooth } from "./noise.mjs";

/** @typedef {import("./mesh.mjs").Vector} Vector */

/** Height of the quay above the water. */
const QUAY = 1;

/** @returns {number[]} the triangles of the whole harbour */
export function buildHarbour() {
  const mesh = new Mesh();
  ground(mesh);
  boathouse(mesh);
  boat(mesh);
  jetty(mesh);
  netAndBuoy(mesh);
  sail(mesh);
  ropeCoil(mesh);
  return mesh.data;
}

/** @param {Mesh} mesh */
function ground(mesh) {
  mesh.quad([-400, 0, 200], [400, 0, 200], [400, 0, -400], [-400, 0, -400], M.water);
  mesh.quad([-40, QUAY, 1.5], [-2, QUAY, 1.5], [-2, QUAY, -60], [-40, QUAY, -60], M.quay);
  mesh.quad([-40, -1, 1.5], [-2, -1, 1.5], [-2, QUAY, 1.5], [-40, QUAY, 1.5], M.quayFace);
  mesh.quad([-2, -1, 1.5], [-2, -1, -4], [-2, QUAY, -4], [-2, QUAY, 1.5], M.quayFace);
  mesh.quad([-2, QUAY, -2.6], [2.6, QUAY, -2.6], [2.6, QUAY, -60], [-2, QUAY, -60], M.quay);
  mesh.quad([-2, -0.62, 6.5], [2.6, -0.62, 6.5], [2.6, QUAY, -2.6], [-2, QUAY, -2.6], M.slip);
  const bank = (/** @type {number} */ u, /** @type {number} */ v) => {
    const x = 2.35 + 20 * u;
    const z = 4.2 - 24 * v;
    const rise = 2.2 * smooth(0, 0.36, v) - 0.35;
    const edge = smooth(0, 0.05, u);
    const lump = 0.3 * cloud(x * 0.7, z * 0.7, 1, 4) + 0.09 * cloud(x * 3, z * 3, 2, 4);
    const slipHeight = Math.min(QUAY, QUAY - ((z + 2.6) * 1.62) / 9.1);
    const height = Math.max(slipHeight - 0.2, rise + lump * smooth(0, 0.1, v));
    return /** @type {Vector} */ ([x, slipHeight * (1 - edge) + height * edge, z]);
  };
  mesh.sheet(bank, 150, 150, M.moss, [20, 24]);
  const hills = (/** @type {number} */ u, /** @type {number} */ v) => {
    const x = -260 + 520 * u;
    const crest = 22 + 20 * cloud(u * 5, 3, 0, 5) + 12 * smooth(0.4, 1, u);
    return /** @type {Vector} */ ([x, -1 + crest * Math.sin((v * Math.PI) / 2), -90 - 120 * v]);
  };
  mesh.sheet(hills, 160, 24, M.hills, [520, 120]);
}

/** @param {Mesh} mesh */
function boathouse(mesh) {
  const [front, back, left, right, eaves, ridge] = [-3, -11, -3, 3, 4, 6.4];
  const inner = front - 0.4;
  const wall = M.limewash;
  mesh.box([left, QUAY - 0.2, inner], [-1.3, 3.5, front], wall);
  mesh.box([1.3, QUAY - 0.2, inner], [1.8, 3.5, front], wall);
  mesh.box([1.8, QUAY - 0.2, inner], [2.5, 2.1, front], wall);
  mesh.box([1.8, 3, inner], [2.5, 3.5, front], wall);
  mesh.box([2.5, QUAY - 0.2, inner], [right, 3.5, front], wall);
  mesh.box([left, 3.5, inner], [right, eaves, front], wall);
  for (const z of [front, inner]) {
    mesh.triangle(
      [left, eaves, z],
      [right, eaves, z],
      [0, ridge, z],
      z === front ? wall : M.inside,
    );
  }
  mesh.quad(
    [left, QUAY - 0.2, back],
    [left, QUAY - 0.2, front],
    [left, eaves, front],
    [left, eaves, back],
    wall,
  );
  mesh.quad(
    [right, QUAY - 0.2, front],
    [right, QUAY - 0.2, back],
    [right, eaves, back],
    [right, eaves, front],
    wall,
  );
  const hidden = 0.35;
  mesh.box([left + 0.01, QUAY, back], [left + hidden, eaves, inner], M.inside);
  mesh.box([right - hidden, QUAY, back], [right - 0.01, eaves, inner], M.inside);
  mesh.quad(
    [left, QUAY, back + 3],
    [right, QUAY, back + 3],
    [right, eaves, back + 3],
    [left, eaves, back + 3],
    M.inside,
  );
  mesh.triangle([left, eaves, back + 3], [right, eaves, back + 3], [0, ridge, back + 3], M.inside);
  // Two slopes of slate, and the boards beneath them.
  for (const side of [-1, 1]) {
    const low = /** @type {const} */ ([side * 3.35, eaves - 0.22]);
    const top = ridge + 0.08;
    mesh.quad(
      [low[0], low[1], front + 0.3],
      [0, top, front + 0.3],
      [0, top, back],
      [low[0], low[1], back],
      M.roof,
    );
    mesh.quad(
      [low[0], low[1] - 0.24, front + 0.3],
      [0, top - 0.24, front + 0.3],
      [0, top - 0.24, back],
      [low[0], low[1] - 0.24, back],
      M.timber,
    );
    mesh.quad(
      [low[0], low[1] - 0.24, front + 0.3],
      [0, top - 0.24, front + 0.3],
      [0, top, front + 0.3],
      [low[0], low[1], front + 0.3],
      M.door,
    );
    mesh.quad(
      [low[0], low[1] - 0.24, front + 0.3],
      [low[0], low[1], front + 0.3],
      [low[0], low[1], back],
      [low[0], low[1] - 0.24, back],
      M.timber,
    );
  }
  // Door leaves, folded back left; lintel; window with bars and a sill; a bench and an oar rack within.
  mesh.box([-2.56, QUAY + 0.06, front + 0.05], [-1.3, 3.45, front + 0.12], M.door);
  mesh.box([-1.5, 3.42, front - 0.1], [1.5, 3.62, front + 0.03], M.timber);
  mesh.quad(
    [1.8, 2.1, front - 0.2],
    [2.5, 2.1, front - 0.2],
    [2.5, 3, front - 0.2],
    [1.8, 3, front - 0.2],
    M.glass,
  );
  mesh.box([2.13, 2.1, front - 0.2], [2.17, 3, front - 0.15], M.timber);
  mesh.box([1.8, 2.53, front - 0.2], [2.5, 2.57, front - 0.15], M.timber);
  mesh.box([1.72, 2.03, front - 0.2], [2.58, 2.1, front + 0.08], M.slip);
  mesh.box([-2.6, QUAY, -7.6], [-1.1, 1.85, -6.4], M.timber);
  mesh.box([0.6, QUAY, -7.8], [0.75, 4, -7.65], M.timber);
  for (let i = 0; i < 4; i++) {
    const x = 1.15 + 0.25 * i;
    mesh.bar((s) => [x + 0.15 * s, QUAY + 2.9 * s, -7 - 0.7 * s], 0.035, 4, M.spar, 3);
  }
  mesh.sheet(
    (u, v) => {
      const angle = 2 * Math.PI * u;
      return [-1.85 + 0.36 * Math.cos(angle), 1.85 + 0.6 * v, -7 + 0.36 * Math.sin(angle)];
    },
    20,
    2,
    M.spar,
    [2.2, 0.6],
  );
}

/**
 * A clinker boat on props, bow and stern both sharp.
 *
 * @param {Mesh} mesh
 */
function boat(mesh) {
  const [length, beam, strakes, lap] = [7.2, 1.25, 9, 0.03];
  const centre = /** @type {const} */ ([-6.7, -1.1]);
  const keel = (/** @type {number} */ t) =>
    1.3 + 0.5 * Math.max(0, Math.abs(2 * t - 1) - 0.55) ** 2 * 4;
  const sheer = (/** @type {number} */ t) => 2.62 + 0.62 * (2 * t - 1) ** 2 + 0.12 * t;
  const half = (/** @type {number} */ t) =>
    beam * Math.max(0, 1 - Math.abs(2 * t - 1) ** 2.3) ** 0.75;
  /** A place on the side: t along, g from keel to sheer. */
  const place = (
    /** @type {number} */ t,
    /** @type {number} */ g,
    /** @type {number} */ side,
    out = 0,
  ) => {
    const clamped = Math.min(1, Math.max(0, t));
    const breadth = half(clamped) * (1 - (1 - Math.min(1, Math.max(0, g))) ** 2.1);
    return /** @type {Vector} */ ([
      centre[0] + length * (clamped - 0.5) + 0.25 * (2 * clamped - 1) * g,
      keel(clamped) + (sheer(clamped) - keel(clamped)) * Math.max(0, g) ** 1.15 - 0.3 * out,
      centre[1] + side * (breadth + out),
    ]);
  };
  for (const side of [1, -1]) {
    for (let strake = 0; strake < strakes; strake++) {
      const from = strake / strakes;
      const to = (strake + 1) / strakes;
      const outer = strake === strakes - 1 ? M.gunwale : M.tar;
      mesh.sheet((u, v) => place(u, from + (to - from) * v, side, lap * (1 - v)), 60, 2, outer, [
        length,
        0.2,
      ]);
      mesh.sheet((u, v) => place(u, from, side, lap * v), 60, 1, M.tar, [length, 0.02]);
    }
    mesh.bar(
      (s) => {
        const p = place(0.02 + 0.96 * s, 1, side, 0.03);
        return [p[0], p[1] + 0.03, p[2]];
      },
      0.045,
      60,
      M.spar,
      length,
    );
    for (const x of [-2, 1.9]) {
      mesh.bar(
        (s) => [centre[0] + x, QUAY + 0.95 * s, centre[1] + side * (1.55 - 0.55 * s)],
        0.055,
        3,
        M.spar,
        1,
      );
    }
  }
  mesh.box(
    [centre[0] - 2.9, 1.16, centre[1] - 0.07],
    [centre[0] + 2.9, 1.36, centre[1] + 0.07],
    M.timber,
  );
  for (const x of [-2.1, 0, 2.1]) {
    mesh.box(
      [centre[0] + x - 0.14, QUAY, centre[1] - 0.7],
      [centre[0] + x + 0.14, 1.17, centre[1] + 0.7],
      M.jetty,
    );
  }
}

/** @param {Mesh} mesh */
function jetty(mesh) {
  const [left, right, from, to, top] = [-10.4, -8, 1.4, 15, 0.95];
  const board = 0.16;
  for (let z = from, i = 0; z < to; z += board, i++) {
    const warp = 0.014 * (hash(i, 4, 4) - 0.5);
    const jag = 0.07 * hash(i, 5, 5);
    mesh.box(
      [left - jag, top - 0.05, z + 0.006],
      [right + 0.07 * hash(i, 6, 6), top + warp, z + board - 0.006],
      M.jetty,
    );
  }
  for (const x of [left + 0.25, right - 0.25]) {
    mesh.box([x - 0.08, top - 0.28, from], [x + 0.08, top - 0.05, to], M.timber);
    for (let z = from + 0.6; z < to; z += 2.3) {
      mesh.box([x - 0.11, -2, z - 0.11], [x + 0.11, top - 0.05, z + 0.11], M.post);
    }
  }
  for (const z of [4.3, 8.9, 13.5]) {
    mesh.box([right - 0.1, -2, z - 0.11], [right + 0.12, top + 0.75, z + 0.11], M.post);
  }
}

/** @param {Mesh} mesh */
function netAndBuoy(mesh) {
  const [x, z] = [-3.05, 0.85];
  mesh.sheet(
    (u, v) => {
      const around = 2 * Math.PI * (1 - u);
      const up = Math.PI * (v - 0.5);
      return [
        x + 0.4 * Math.cos(up) * Math.cos(around),
        1.39 + 0.4 * Math.sin(up),
        z + 0.4 * Math.cos(up) * Math.sin(around),
      ];
    },
    48,
    28,
    M.buoy,
    [2.4, 1.2],
  );
  mesh.bar(
    (s) => [x + 0.05 * Math.cos(2 * Math.PI * s), 1.83 + 0.07 * Math.sin(2 * Math.PI * s), z],
    0.016,
    16,
    M.iron,
    0.4,
  );
  const heap = (/** @type {number} */ u, /** @type {number} */ v) => {
    const hx = 1.5 * (u - 0.5);
    const hz = 1.3 * (v - 0.5);
    const round = Math.max(0, 1 - (hx / 0.74) ** 2 - (hz / 0.64) ** 2);
    const fold =
      0.2 * Math.abs(cloud(hx * 2.6, hz * 2.6, 3, 3)) + 0.06 * cloud(hx * 7, hz * 7, 5, 3);
    return /** @type {Vector} */ ([-4.2 + hx, 0.97 + (0.62 + fold) * round ** 0.55, 0.85 - hz]);
  };
  mesh.sheet(heap, 70, 70, M.net, [2.1, 1.9]);
}

/** @param {Mesh} mesh */
function sail(mesh) {
  const cloth = (/** @type {number} */ u, /** @type {number} */ v) => {
    const hang = 1 - v;
    const wave =
      0.16 * Math.sin(7 * u + 1.6 * hang) * (0.35 + hang) +
      0.1 * cloud(u * 5, hang * 1.2, 2, 3) * (0.3 + hang);
    const foot = 0.12 * Math.sin(Math.PI * u) - 0.45 * u;
    return /** @type {Vector} */ ([
      5 + 3 * u + 0.06 * Math.sin(5 * v),
      2.15 - foot * hang + (2.55 + 0.25 * u) * v,
      -0.6 + wave,
    ]);
  };
  mesh.sheet(cloth, 90, 60, M.sail, [3, 2.6]);
  mesh.bar((s) => [4.5 + 4 * s, 4.72 + 0.3 * s, -0.6], 0.06, 6, M.spar, 4);
  for (const x of [4.6, 8.4]) {
    mesh.bar((s) => [x, -0.2 + 5.3 * s, -0.66], 0.075, 6, M.spar, 5);
  }
  for (let i = 0; i <= 12; i++) {
    const x = 5.05 + (2.9 * i) / 12;
    const y = 4.68 + 0.3 * ((x - 4.5) / 4);
    mesh.bar(
      (s) => [x, y + 0.085 * Math.cos(2 * Math.PI * s), -0.6 + 0.085 * Math.sin(2 * Math.PI * s)],
      0.012,
      10,
      M.rope,
      0.5,
    );
  }
}

/** @param {Mesh} mesh */
function ropeCoil(mesh) {
  const turns = 7;
  const coil = (/** @type {number} */ s) => {
    const layer = s < 0.72 ? 0 : 1;
    const local = layer === 0 ? s / 0.72 : (s - 0.72) / 0.28;
    const angle = 2 * Math.PI * turns * s;
    const radius = layer === 0 ? 0.6 - 0.36 * local : 0.27 + 0.2 * local;
    const wobble = 0.014 * Math.sin(3 * angle + 9 * s);
    const lift = layer === 0 ? 0 : 0.062 * smooth(0, 0.08, local);
    return /** @type {Vector} */ ([
      -9.2 + (radius + wobble) * Math.cos(angle),
      0.99 + lift,
      6.2 + (radius + wobble) * Math.sin(angle),
    ]);
  };
  mesh.bar(coil, 0.033, 420, M.rope, 18);
}
