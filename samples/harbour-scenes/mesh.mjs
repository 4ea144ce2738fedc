/**
 * Everything in the harbour is triangles; this builds them.
 *
 * @typedef {[number, number, number]} Vector - metres: x east, y up, z towards the open water
 */

/** Numbers kept per triangle: corner, two edges, three normals, three texture positions, material. */
export const STRIDE = 25;

export class Mesh {
  /** @type {number[]} */
  data = [];

  /**
   * A flat four-sided face, corners in order around it.
   *
   * @param {Vector} a
   * @param {Vector} b
   * @param {Vector} c
   * @param {Vector} d
   * @param {number} material
   */
  quad(a, b, c, d, material) {
    this.triangle(a, b, c, material);
    this.triangle(a, c, d, material);
  }

  /**
   * @param {Vector} a
   * @param {Vector} b
   * @param {Vector} c
   * @param {number} material
   */
  triangle(a, b, c, material) {
    const normal = normalise(cross(minus(b, a), minus(c, a)));
    this.#push([a, b, c], [normal, normal, normal], ZERO_UV, material);
  }

  /**
   * A box with upright sides.
   *
   * @param {Vector} low - the corner with the least coordinates
   * @param {Vector} high - the opposite corner
   * @param {number} material
   */
  box([x0, y0, z0], [x1, y1, z1], material) {
    this.quad([x0, y0, z1], [x1, y0, z1], [x1, y1, z1], [x0, y1, z1], material);
    this.quad([x1, y0, z0], [x0, y0, z0], [x0, y1, z0], [x1, y1, z0], material);
    this.quad([x0, y0, z0], [x0, y0, z1], [x0, y1, z1], [x0, y1, z0], material);
    this.quad([x1, y0, z1], [x1, y0, z0], [x1, y1, z0], [x1, y1, z1], material);
    this.quad([x0, y1, z1], [x1, y1, z1], [x1, y1, z0], [x0, y1, z0], material);
    this.quad([x0, y0, z0], [x1, y0, z0], [x1, y0, z1], [x0, y0, z1], material);
  }

  /**
   * A curved sheet, its normals following the curve.
   *
   * @param {(u: number, v: number) => Vector} place - u and v in [0, 1]
   * @param {number} columns
   * @param {number} rows
   * @param {number} material
   * @param {[number, number]} [size] - how far the texture runs along u and v, metres
   */
  sheet(place, columns, rows, material, [across, up] = [1, 1]) {
    const step = 1e-3;
    /** @param {number} u @param {number} v */
    const corner = (u, v) => {
      const along = minus(place(u + step, v), place(u - step, v));
      const over = minus(place(u, v + step), place(u, v - step));
      return {
        at: place(u, v),
        normal: normalise(cross(along, over)),
        uv: /** @type {[number, number]} */ ([u * across, v * up]),
      };
    };
    for (let row = 0; row < rows; row++) {
      for (let column = 0; column < columns; column++) {
        const a = corner(column / columns, row / rows);
        const b = corner((column + 1) / columns, row / rows);
        const c = corner((column + 1) / columns, (row + 1) / rows);
        const d = corner(column / columns, (row + 1) / rows);
        for (const [p, q, r] of [
          [a, b, c],
          [a, c, d],
        ]) {
          this.#push(
            [p.at, q.at, r.at],
            [p.normal, q.normal, r.normal],
            [p.uv, q.uv, r.uv],
            material,
          );
        }
      }
    }
  }

  /**
   * A round bar along a curve.
   *
   * @param {(along: number) => Vector} path - along in [0, 1]
   * @param {number} radius - metres
   * @param {number} steps
   * @param {number} material
   * @param {number} length - how far the texture runs along it, metres
   */
  bar(path, radius, steps, material, length) {
    const place = (/** @type {number} */ u, /** @type {number} */ v) => {
      const centre = path(u);
      const ahead = normalise(minus(path(u + 1e-3), path(u - 1e-3)));
      const helper = /** @type {Vector} */ (Math.abs(ahead[1]) < 0.9 ? [0, 1, 0] : [1, 0, 0]);
      const side = normalise(cross(ahead, helper));
      const top = cross(side, ahead);
      const c = radius * Math.cos(2 * Math.PI * v);
      const s = radius * Math.sin(2 * Math.PI * v);
      return plus(centre, plus(times(side, c), times(top, s)));
    };
    this.sheet(place, steps, 10, material, [length, 2 * Math.PI * radius]);
  }

  /**
   * @param {Vector[]} corners
   * @param {Vector[]} normals
   * @param {[number, number][]} uvs
   * @param {number} material
   */
  #push([a, b, c], normals, uvs, material) {
    this.data.push(
      ...a,
      ...minus(b, a),
      ...minus(c, a),
      ...normals.flat(),
      ...uvs.flat(),
      material,
    );
  }
}

/** @type {[number, number][]} */
const ZERO_UV = [
  [0, 0],
  [0, 0],
  [0, 0],
];

/** @param {Vector} a @param {Vector} b @returns {Vector} */
function plus(a, b) {
  return [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
}

/** @param {Vector} a @param {Vector} b @returns {Vector} */
export function minus(a, b) {
  return [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
}

/** @param {Vector} a @param {number} factor @returns {Vector} */
function times(a, factor) {
  return [a[0] * factor, a[1] * factor, a[2] * factor];
}

/** @param {Vector} a @param {Vector} b @returns {Vector} */
export function cross(a, b) {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

/** @param {Vector} a @returns {Vector} */
export function normalise(a) {
  const length = Math.hypot(a[0], a[1], a[2]) || 1;
  return [a[0] / length, a[1] / length, a[2] / length];
}
