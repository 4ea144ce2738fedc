/**
 * Parts of a picture, written as in a brief.
 *
 * @param {string} text - spot, partial, whole, "box:x,y,w,h", "circle:x,y,r" or "polygon:x,y x,y ...", in fractions of the
 * upright picture; r in fractions of its width
 * @param {number} width - upright, pixels
 * @param {number} height - upright, pixels
 * @returns {number[]} indices of the pixels whose centres lie inside
 */
export function regionPixels(text, width, height) {
  const inside = membership(text, width, height);
  const pixels = [];
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      if (inside(column + 0.5, row + 0.5)) pixels.push(row * width + column);
    }
  }
  return pixels;
}

/**
 * @param {string} text
 * @param {number} width
 * @param {number} height
 * @returns {(x: number, y: number) => boolean} x and y in pixels
 */
function membership(text, width, height) {
  const [shape, list = ""] = text.split(":");
  const [a, b, c, d] = list.split(",").map(Number);
  /** @param {number} cx @param {number} cy @param {number} radius */
  const disc = (cx, cy, radius) => (/** @type {number} */ x, /** @type {number} */ y) =>
    (x - cx) ** 2 + (y - cy) ** 2 <= radius ** 2;
  switch (shape) {
    case "whole":
      return () => true;
    case "spot":
      return disc(width / 2, height / 2, Math.sqrt((0.03 * width * height) / Math.PI));
    case "partial":
      return disc(width / 2, height / 2, Math.sqrt((0.085 * width * height) / Math.PI));
    case "box":
      return (x, y) =>
        x >= a * width && x <= (a + c) * width && y >= b * height && y <= (b + d) * height;
    case "circle":
      return disc(a * width, b * height, c * width);
    case "polygon": {
      const corners = list.split(" ").map((pair) => {
        const [x, y] = pair.split(",").map(Number);
        return [x * width, y * height];
      });
      return (x, y) => {
        let odd = false;
        corners.forEach(([ax, ay], i) => {
          const [bx, by] = corners[(i + 1) % corners.length];
          if (ay <= y !== by <= y && x < ax + ((y - ay) / (by - ay)) * (bx - ax)) odd = !odd;
        });
        return odd;
      };
    }
    default:
      throw new RangeError(`Expected a region but received "${text}"`);
  }
}
