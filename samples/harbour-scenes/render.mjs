/**
 * Light from the harbour through a lens: the luminance of every point of a view, in cd/m2, before any camera.
 *
 * @typedef {import("./mesh.mjs").Vector} Vector
 * @typedef {import("./light.mjs").Light} Light
 *
 * @typedef {object} View
 * @property {Vector} eye - metres
 * @property {Vector} towards - a point on the optical axis
 * @property {number} focalLengthMillimetres - on a 36 x 24 mm frame
 * @property {boolean} [portrait]
 * @property {Light} light
 *
 * @typedef {object} Scene
 * @property {number} width - upright, pixels
 * @property {number} height
 * @property {Float32Array} light - red, green, blue per pixel, cd/m2, row by row from the top left
 */
import { skyAt, sunHue } from "./light.mjs";
import { MATERIALS } from "./materials.mjs";
import { cross, minus, normalise, STRIDE } from "./mesh.mjs";
import { cloud, hash, mix } from "./noise.mjs";

/** Light that comes from surfaces instead of the sky: their usual share of the sky's. */
const BOUNCE = 0.09;

/** Softness of the shadow edges: radius of the sun's disc, wider than the true one so that small pictures show it. */
const SUN_RADIUS = 0.018;

/** Distance at which haze has taken two thirds of a hill's own light, metres. */
const HAZE = 260;

/**
 * @param {import("./tracer.mjs").Tracer} tracer
 * @param {View} view
 * @param {{ longSide: number, samples: number }} quality - samples per pixel is samples squared
 * @returns {Scene}
 */
export function renderView(tracer, view, { longSide, samples }) {
  const shortSide = Math.round((longSide * 2) / 3);
  const width = view.portrait ? shortSide : longSide;
  const height = view.portrait ? longSide : shortSide;
  const picture = new Float32Array(3 * width * height);
  const ahead = normalise(minus(view.towards, view.eye));
  const right = normalise(cross(ahead, [0, 1, 0]));
  const up = cross(right, ahead);
  // Millimetres on the frame per pixel, over the focal length.
  const pixel = 36 / longSide / view.focalLengthMillimetres;
  const painter = new Painter(tracer, view.light);
  const colour = new Float64Array(3);

  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const sums = [0, 0, 0];
      painter.turn = hash(column, row, 11);
      painter.turn2 = hash(column, row, 12);
      for (let sample = 0; sample < samples * samples; sample++) {
        const jx = ((sample % samples) + hash(column, row, 20 + sample)) / samples;
        const jy = (Math.floor(sample / samples) + hash(column, row, 40 + sample)) / samples;
        const x = (column + jx - width / 2) * pixel;
        const y = (height / 2 - row - jy) * pixel;
        const dx = ahead[0] + x * right[0] + y * up[0];
        const dy = ahead[1] + x * right[1] + y * up[1];
        const dz = ahead[2] + x * right[2] + y * up[2];
        const length = Math.sqrt(dx * dx + dy * dy + dz * dz);
        painter.sample = sample;
        painter.see(
          view.eye[0],
          view.eye[1],
          view.eye[2],
          dx / length,
          dy / length,
          dz / length,
          0,
          colour,
        );
        for (let i = 0; i < 3; i++) sums[i] += colour[i];
      }
      for (let i = 0; i < 3; i++) {
        picture[3 * (row * width + column) + i] = sums[i] / (samples * samples);
      }
    }
  }
  return { width, height, light: picture };
}

class Painter {
  /**
   * @param {import("./tracer.mjs").Tracer} tracer
   * @param {Light} light
   */
  constructor(tracer, light) {
    this.tracer = tracer;
    this.light = light;
    // Where the sky is the only light, its shadows must be smooth.
    this.skyRays = light.sunLux > 0 ? 2 : 5;
    this.sunHue = sunHue(light);
    /** Offsets of this pixel's light samples, and the number of the sample within it. */
    this.turn = 0;
    this.turn2 = 0;
    this.sample = 0;
    this.albedo = new Float64Array(3);
    this.sky = new Float64Array(3);
  }

  /**
   * The light that comes back along a ray.
   *
   * @param {number} ox
   * @param {number} oy
   * @param {number} oz
   * @param {number} dx
   * @param {number} dy
   * @param {number} dz
   * @param {number} depth - mirrors so far
   * @param {Float64Array} out - cd/m2
   */
  see(ox, oy, oz, dx, dy, dz, depth, out) {
    const { tracer, light } = this;
    if (!tracer.meets(ox, oy, oz, dx, dy, dz, false)) {
      skyAt(light, dx, dy, dz, true, out);
      return;
    }
    const { distance, u, v } = tracer;
    const at = tracer.triangle * STRIDE;
    const data = tracer.triangles;
    const material = MATERIALS[data[at + 24]];
    const px = ox + dx * distance;
    const py = oy + dy * distance;
    const pz = oz + dz * distance;
    const w = 1 - u - v;
    let nx = w * data[at + 9] + u * data[at + 12] + v * data[at + 15];
    let ny = w * data[at + 10] + u * data[at + 13] + v * data[at + 16];
    let nz = w * data[at + 11] + u * data[at + 14] + v * data[at + 17];
    let length = Math.sqrt(nx * nx + ny * ny + nz * nz) || 1;
    if (nx * dx + ny * dy + nz * dz > 0) length = -length;
    nx /= length;
    ny /= length;
    nz /= length;

    if (material.water) {
      this.#seeWater(px, py, pz, dx, dy, dz, distance, depth, out);
      return;
    }

    // Where on the surface: its own texture, or the two axes that a flat face lies along; and which way those run.
    let a;
    let b;
    let ax = 1;
    const ay = 0;
    let az = 0;
    if (material.sheet) {
      a = w * data[at + 18] + u * data[at + 20] + v * data[at + 22];
      b = w * data[at + 19] + u * data[at + 21] + v * data[at + 23];
      if (Math.abs(ny) > 0.95) ax = 1;
      else {
        ax = nz;
        az = -nx;
      }
    } else if (Math.abs(nx) > Math.abs(ny) && Math.abs(nx) > Math.abs(nz)) {
      a = pz;
      b = py;
      ax = 0;
      az = 1;
    } else if (Math.abs(ny) > Math.abs(nz)) {
      a = px;
      b = pz;
      if (Math.abs(nx) > 0.3) {
        // A roof's slope: along the ridge, and down the slates.
        a = pz;
        b = py * 1.6;
        ax = 0;
        az = 1;
      }
    } else {
      a = px;
      b = py;
    }
    const flatX = nx;
    const flatY = ny;
    const flatZ = nz;
    if (material.relief) {
      // Across the second axis: the normal times the first, turned so that it runs up or towards the water.
      let bx = ny * az - nz * ay;
      let by = nz * ax - nx * az;
      let bz = nx * ay - ny * ax;
      if (by + (Math.abs(ny) > 0.7 ? bz : 0) < 0) {
        bx = -bx;
        by = -by;
        bz = -bz;
      }
      const step = material.far ? 0.4 : 0.003;
      const here = material.relief(a, b);
      const slopeA = (material.relief(a + step, b) - here) / step;
      const slopeB = (material.relief(a, b + step) - here) / step;
      nx -= slopeA * ax + slopeB * bx;
      ny -= slopeA * ay + slopeB * by;
      nz -= slopeA * az + slopeB * bz;
      const size = 1 / Math.sqrt(nx * nx + ny * ny + nz * nz);
      nx *= size;
      ny *= size;
      nz *= size;
    }
    const albedo = this.albedo;
    material.paint(a, b, albedo);
    const red = albedo[0];
    const green = albedo[1];
    const blue = albedo[2];
    if (material.lamp) {
      const lamp = light.lampCandelas;
      out[0] = lamp * red;
      out[1] = lamp * green;
      out[2] = lamp * blue;
      return;
    }

    // A hair off the surface, so that it does not shade itself.
    const lift = 1e-3 + 1e-5 * distance;
    const sx = px + flatX * lift;
    const sy = py + flatY * lift;
    const sz = pz + flatZ * lift;
    let litR = 0;
    let litG = 0;
    let litB = 0;
    let shine = 0;
    const [lx, ly, lz] = light.sun;
    const facing = nx * lx + ny * ly + nz * lz;
    if (light.sunLux > 0 && facing > 0 && flatX * lx + flatY * ly + flatZ * lz > 0) {
      const angle = 2 * Math.PI * fraction(this.turn + 0.618 * this.sample);
      const radius = SUN_RADIUS * Math.sqrt(fraction(this.turn2 + 0.755 * this.sample));
      const qx = lx + radius * Math.cos(angle);
      const qy = ly + radius * Math.sin(angle) * 0.7;
      const qz = lz - radius * Math.sin(angle) * 0.7;
      if (!tracer.meets(sx, sy, sz, qx, qy, qz, true)) {
        const lux = light.sunLux * facing;
        litR += lux * this.sunHue[0];
        litG += lux * this.sunHue[1];
        litB += lux * this.sunHue[2];
        if (material.sheen && material.polish) {
          const hx = lx - dx;
          const hy = ly - dy;
          const hz = lz - dz;
          const cosine = Math.max(0, (nx * hx + ny * hy + nz * hz) / Math.hypot(hx, hy, hz));
          shine = (lux * material.sheen * (material.polish + 2) * cosine ** material.polish) / 8;
        }
      }
    }

    // The sky: rays spread evenly over what the surface faces; those that meet something bring a little light from it.
    const rays = depth > 0 ? 1 : this.skyRays;
    let skyR = 0;
    let skyG = 0;
    let skyB = 0;
    const tangent = Math.abs(nx) > 0.7 ? 0 : 1;
    let tx = tangent ? 0 : -nz;
    let ty = tangent ? nz : 0;
    let tz = tangent ? -ny : nx;
    const size = 1 / Math.sqrt(tx * tx + ty * ty + tz * tz);
    tx *= size;
    ty *= size;
    tz *= size;
    const cx = ny * tz - nz * ty;
    const cy = nz * tx - nx * tz;
    const cz = nx * ty - ny * tx;
    const bounce = (BOUNCE * (light.skyLux + 0.5 * light.sunLux)) / Math.PI;
    for (let ray = 0; ray < rays; ray++) {
      const index = this.sample * rays + ray;
      const angle = 2 * Math.PI * fraction(this.turn + 0.7548776662466927 * index);
      const share = fraction(this.turn2 + 0.5698402909980532 * index);
      const radius = Math.sqrt(share);
      const out1 = radius * Math.cos(angle);
      const out2 = radius * Math.sin(angle);
      const forth = Math.sqrt(1 - share);
      const rx = out1 * tx + out2 * cx + forth * nx;
      const ry = out1 * ty + out2 * cy + forth * ny;
      const rz = out1 * tz + out2 * cz + forth * nz;
      if (rx * flatX + ry * flatY + rz * flatZ <= 0 || tracer.meets(sx, sy, sz, rx, ry, rz, true)) {
        skyR += bounce;
        skyG += 0.96 * bounce;
        skyB += 0.86 * bounce;
      } else {
        skyAt(light, rx, ry, rz, false, this.sky);
        skyR += this.sky[0];
        skyG += this.sky[1];
        skyB += this.sky[2];
      }
    }
    const perRay = Math.PI / rays;
    litR += skyR * perRay;
    litG += skyG * perRay;
    litB += skyB * perRay;
    let mirrored = 0;
    if (material.sheen) {
      const grazing = (1 - Math.min(1, Math.abs(nx * dx + ny * dy + nz * dz))) ** 5;
      mirrored = mix(material.sheen, 0.35, grazing) * 0.6;
    }
    out[0] = (red * litR + shine) / Math.PI + mirrored * (skyR / rays);
    out[1] = (green * litG + shine) / Math.PI + mirrored * (skyG / rays);
    out[2] = (blue * litB + shine) / Math.PI + mirrored * (skyB / rays);

    if (material.far) {
      const haze = 1 - Math.exp(-distance / HAZE);
      skyAt(light, dx, 0.03, dz, false, this.sky);
      for (let i = 0; i < 3; i++) out[i] = mix(out[i], 0.75 * this.sky[i], haze);
    }
  }

  /**
   * Water: a rippled mirror over a dark green depth.
   *
   * @param {number} px
   * @param {number} py
   * @param {number} pz
   * @param {number} dx
   * @param {number} dy
   * @param {number} dz
   * @param {number} distance
   * @param {number} depth
   * @param {Float64Array} out
   */
  #seeWater(px, py, pz, dx, dy, dz, distance, depth, out) {
    const { light } = this;
    const wave = (/** @type {number} */ x, /** @type {number} */ z) =>
      0.05 * cloud(x * 0.55, z * 1.1, 3, 3) + 0.012 * cloud(x * 2.2, z * 4.2, 9, 3);
    const step = 0.02;
    const here = wave(px, pz);
    const calm = 1 / (1 + distance * 0.02);
    let nx = (-calm * (wave(px + step, pz) - here)) / step;
    let ny = 1;
    let nz = (-calm * (wave(px, pz + step) - here)) / step;
    const size = 1 / Math.sqrt(nx * nx + 1 + nz * nz);
    nx *= size;
    ny *= size;
    nz *= size;
    const cosine = Math.min(1, Math.max(0.02, -(dx * nx + dy * ny + dz * nz)));
    const mirrored = 0.02 + 0.98 * (1 - cosine) ** 5;
    const body = (0.02 * (light.skyLux + 0.6 * light.sunLux)) / Math.PI;
    let rx = dx + 2 * cosine * nx;
    let ry = dy + 2 * cosine * ny;
    let rz = dz + 2 * cosine * nz;
    if (ry < 0.01) ry = 0.01;
    const length = 1 / Math.sqrt(rx * rx + ry * ry + rz * rz);
    rx *= length;
    ry *= length;
    rz *= length;
    if (depth < 1) this.see(px, py + 1e-3, pz, rx, ry, rz, depth + 1, out);
    else skyAt(light, rx, ry, rz, true, out);
    out[0] = mirrored * out[0] + (1 - mirrored) * body * 0.55;
    out[1] = mirrored * out[1] + (1 - mirrored) * body * 1.05;
    out[2] = mirrored * out[2] + (1 - mirrored) * body * 0.95;
  }
}

/** @param {number} value */
function fraction(value) {
  return value - Math.floor(value);
}
