/**
 * Where a student stood: a window of a rendered view, and smaller than it.
 *
 * @typedef {import("../harbour-scenes/render.mjs").Scene} Scene
 *
 * @typedef {object} Window
 * @property {number} share - of the view's width and height, in (0, 1]
 * @property {number} x - of what is left over across, how much lies to the left, in [0, 1]
 * @property {number} y - of what is left over down, how much lies above, in [0, 1]
 */

/** Longer side of the pictures, pixels. */
const LONG_SIDE = 480;

/**
 * The light of a window of a view, averaged over the pixels of a smaller picture.
 *
 * @param {Scene} view
 * @param {Window} window
 * @returns {Scene}
 */
export function throughWindow(view, { share, x, y }) {
  const [across, down] = [share * view.width, share * view.height];
  const [left, top] = [x * (view.width - across), y * (view.height - down)];
  const scale = LONG_SIDE / Math.max(across, down);
  const [width, height] = [Math.round(across * scale), Math.round(down * scale)];
  const light = new Float32Array(3 * width * height);
  for (let row = 0; row < height; row++) {
    const rows = places(top, down, row, height, view.height);
    for (let column = 0; column < width; column++) {
      const columns = places(left, across, column, width, view.width);
      for (let channel = 0; channel < 3; channel++) {
        let sum = 0;
        for (const at of rows) {
          for (const beside of columns) sum += view.light[3 * (at * view.width + beside) + channel];
        }
        light[3 * (row * width + column) + channel] = sum / (rows.length * columns.length);
      }
    }
  }
  return { width, height, light };
}

/**
 * The pixels of the view that one of the picture covers, along a side.
 *
 * @param {number} from - of the window
 * @param {number} length - of the window
 * @param {number} index - of the pixel
 * @param {number} count - pixels of the picture
 * @param {number} most - pixels of the view
 */
function places(from, length, index, count, most) {
  const first = Math.floor(from + (index * length) / count);
  const last = Math.max(first + 1, Math.floor(from + ((index + 1) * length) / count));
  return Array.from({ length: last - first }, (_, i) => Math.min(most - 1, first + i));
}
