/**
 * Finds what a ray of light meets, through a tree of boxes around the triangles.
 */
import { STRIDE } from "./mesh.mjs";

/** Triangles that a leaf of the tree may hold. */
const LEAF = 4;

/** Places along an axis where a node may be divided. */
const SLOTS = 12;

/** Nearest distance that counts as a hit, metres: a ray must not meet the face that it leaves. */
const NEAR = 1e-5;

export class Tracer {
  /** @param {readonly number[]} triangles - STRIDE numbers each */
  constructor(triangles) {
    this.triangles = Float64Array.from(triangles);
    const count = triangles.length / STRIDE;
    this.order = Int32Array.from({ length: count }, (_, i) => i);
    this.bounds = new Float64Array(12 * count + 6);
    this.first = new Int32Array(2 * count + 1);
    this.count = new Int32Array(2 * count + 1);
    this.axis = new Uint8Array(2 * count + 1);
    this.nodes = 1;
    this.stack = new Int32Array(128);
    /** The last hit: distance, triangle, and where on it. */
    this.distance = 0;
    this.triangle = -1;
    this.u = 0;
    this.v = 0;
    this.boxes = new Float64Array(6 * count);
    this.#boxAll(count);
    this.#build(0, 0, count);
  }

  /**
   * Whether the ray meets anything; the nearest hit is left in `distance`, `triangle`, `u` and `v`.
   *
   * @param {number} ox
   * @param {number} oy
   * @param {number} oz
   * @param {number} dx
   * @param {number} dy
   * @param {number} dz
   * @param {boolean} any - stop at the first hit, however far
   */
  meets(ox, oy, oz, dx, dy, dz, any) {
    const { axis, bounds, first, count, order, stack } = this;
    const ix = 1 / dx;
    const iy = 1 / dy;
    const iz = 1 / dz;
    this.distance = Number.POSITIVE_INFINITY;
    this.triangle = -1;
    let depth = 0;
    stack[depth++] = 0;
    while (depth > 0) {
      const node = stack[--depth];
      const b = node * 6;
      const x0 = (bounds[b] - ox) * ix;
      const x1 = (bounds[b + 3] - ox) * ix;
      const y0 = (bounds[b + 1] - oy) * iy;
      const y1 = (bounds[b + 4] - oy) * iy;
      const z0 = (bounds[b + 2] - oz) * iz;
      const z1 = (bounds[b + 5] - oz) * iz;
      const enter = Math.max(Math.min(x0, x1), Math.min(y0, y1), Math.min(z0, z1));
      const leave = Math.min(Math.max(x0, x1), Math.max(y0, y1), Math.max(z0, z1));
      if (!(leave >= Math.max(enter, 0)) || enter > this.distance) continue;
      if (count[node] === 0) {
        // The child that the ray enters first is looked at first: it goes on top.
        const along = axis[node] === 0 ? dx : axis[node] === 1 ? dy : dz;
        const near = along > 0 ? 0 : 1;
        stack[depth++] = first[node] + 1 - near;
        stack[depth++] = first[node] + near;
        continue;
      }
      for (let i = first[node]; i < first[node] + count[node]; i++) {
        this.#test(order[i], ox, oy, oz, dx, dy, dz);
      }
      if (any && this.triangle >= 0) return true;
    }
    return this.triangle >= 0;
  }

  /**
   * @param {number} triangle
   * @param {number} ox
   * @param {number} oy
   * @param {number} oz
   * @param {number} dx
   * @param {number} dy
   * @param {number} dz
   */
  #test(triangle, ox, oy, oz, dx, dy, dz) {
    const data = this.triangles;
    const at = triangle * STRIDE;
    const ax = data[at + 3];
    const ay = data[at + 4];
    const az = data[at + 5];
    const bx = data[at + 6];
    const by = data[at + 7];
    const bz = data[at + 8];
    const px = dy * bz - dz * by;
    const py = dz * bx - dx * bz;
    const pz = dx * by - dy * bx;
    const area = ax * px + ay * py + az * pz;
    if (area > -1e-14 && area < 1e-14) return;
    const inverse = 1 / area;
    const tx = ox - data[at];
    const ty = oy - data[at + 1];
    const tz = oz - data[at + 2];
    const u = (tx * px + ty * py + tz * pz) * inverse;
    if (u < 0 || u > 1) return;
    const qx = ty * az - tz * ay;
    const qy = tz * ax - tx * az;
    const qz = tx * ay - ty * ax;
    const v = (dx * qx + dy * qy + dz * qz) * inverse;
    if (v < 0 || u + v > 1) return;
    const distance = (bx * qx + by * qy + bz * qz) * inverse;
    if (distance < NEAR || distance >= this.distance) return;
    this.distance = distance;
    this.triangle = triangle;
    this.u = u;
    this.v = v;
  }

  /**
   * Divides the triangles of a node where the two halves' surfaces, times what they hold, come out least: wide faces such as
   * the water then keep apart from small ones.
   *
   * @param {number} node
   * @param {number} from
   * @param {number} to
   */
  #build(node, from, to) {
    const box = emptyBox();
    const centres = emptyBox();
    for (let i = from; i < to; i++) {
      const at = this.order[i] * 6;
      grow(box, this.boxes, at);
      for (let axis = 0; axis < 3; axis++) {
        const centre = this.boxes[at + axis] + this.boxes[at + axis + 3];
        centres[axis] = Math.min(centres[axis], centre);
        centres[axis + 3] = Math.max(centres[axis + 3], centre);
      }
    }
    this.bounds.set(box, node * 6);
    const plan = to - from > LEAF ? this.#plan(from, to, centres) : null;
    if (plan === null) {
      this.first[node] = from;
      this.count[node] = to - from;
      return;
    }
    let middle = from;
    for (let i = from; i < to; i++) {
      const triangle = this.order[i];
      if (this.#slot(triangle, plan.axis, centres) > plan.slot) continue;
      this.order[i] = this.order[middle];
      this.order[middle++] = triangle;
    }
    const child = this.nodes;
    this.nodes += 2;
    this.first[node] = child;
    this.axis[node] = plan.axis;
    this.#build(child, from, middle);
    this.#build(child + 1, middle, to);
  }

  /**
   * @param {number} from
   * @param {number} to
   * @param {Float64Array} centres
   * @returns {{ axis: number, slot: number } | null} null when the triangles all lie in one place
   */
  #plan(from, to, centres) {
    let least = Number.POSITIVE_INFINITY;
    let best = null;
    for (let axis = 0; axis < 3; axis++) {
      if (centres[axis + 3] - centres[axis] < 1e-9) continue;
      const boxes = Array.from({ length: SLOTS }, emptyBox);
      const counts = new Array(SLOTS).fill(0);
      for (let i = from; i < to; i++) {
        const slot = this.#slot(this.order[i], axis, centres);
        grow(boxes[slot], this.boxes, this.order[i] * 6);
        counts[slot]++;
      }
      for (let slot = 0; slot < SLOTS - 1; slot++) {
        let cost = 0;
        for (const [start, end] of [
          [0, slot + 1],
          [slot + 1, SLOTS],
        ]) {
          const side = emptyBox();
          let held = 0;
          for (let i = start; i < end; i++) {
            if (counts[i] > 0) grow(side, boxes[i], 0);
            held += counts[i];
          }
          cost += held > 0 ? held * surface(side) : Number.POSITIVE_INFINITY;
        }
        if (cost < least) {
          least = cost;
          best = { axis, slot };
        }
      }
    }
    return best;
  }

  /**
   * @param {number} triangle
   * @param {number} axis
   * @param {Float64Array} centres
   */
  #slot(triangle, axis, centres) {
    const centre = this.boxes[6 * triangle + axis] + this.boxes[6 * triangle + axis + 3];
    const share = (centre - centres[axis]) / (centres[axis + 3] - centres[axis]);
    return Math.min(SLOTS - 1, Math.floor(share * SLOTS));
  }

  /** @param {number} count */
  #boxAll(count) {
    for (let triangle = 0; triangle < count; triangle++) {
      for (let axis = 0; axis < 3; axis++) {
        const at = triangle * STRIDE + axis;
        const a = this.triangles[at];
        const b = a + this.triangles[at + 3];
        const c = a + this.triangles[at + 6];
        this.boxes[6 * triangle + axis] = Math.min(a, b, c);
        this.boxes[6 * triangle + axis + 3] = Math.max(a, b, c);
      }
    }
  }
}

/** @returns {Float64Array} three least and three greatest coordinates */
function emptyBox() {
  return Float64Array.of(Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity);
}

/**
 * @param {Float64Array} box
 * @param {Float64Array} other
 * @param {number} at
 */
function grow(box, other, at) {
  for (let axis = 0; axis < 3; axis++) {
    box[axis] = Math.min(box[axis], other[at + axis]);
    box[axis + 3] = Math.max(box[axis + 3], other[at + axis + 3]);
  }
}

/** @param {Float64Array} box */
function surface(box) {
  const x = box[3] - box[0];
  const y = box[4] - box[1];
  const z = box[5] - box[2];
  return x * y + y * z + z * x;
}
