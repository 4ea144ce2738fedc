/** Exif orientation from LibRaw's bits: 1 mirrors columns, 2 mirrors rows, 4 exchanges rows and columns. */
export function orientationFromFlip(flip: number): number {
  return [1, 2, 4, 3, 5, 8, 6, 7][flip] ?? 1;
}
