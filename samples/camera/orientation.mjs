/**
 * Turns an upright picture into the one that a camera stores when it is held on its side.
 *
 * @param {Buffer} upright - three bytes per pixel
 * @param {number} width - upright
 * @param {number} height - upright
 * @param {1 | 6 | 8} orientation - Exif Orientation: 6 is stored a quarter turn anticlockwise, 8 clockwise
 * @returns {{ pixels: Buffer, width: number, height: number }}
 */
export function storedPicture(upright, width, height, orientation) {
  if (orientation === 1) return { pixels: upright, width, height };
  const pixels = Buffer.alloc(upright.length);
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const storedRow = orientation === 6 ? width - 1 - column : column;
      const storedColumn = orientation === 6 ? row : height - 1 - row;
      const to = 3 * (storedRow * height + storedColumn);
      upright.copy(pixels, to, 3 * (row * width + column), 3 * (row * width + column) + 3);
    }
  }
  return { pixels, width: height, height: width };
}
