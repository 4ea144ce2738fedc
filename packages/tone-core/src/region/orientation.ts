import { ToneError } from "../errors.ts";
import { expectObject } from "../expectGiven.ts";
import { expectFinite, expectWhole } from "../expectNumber.ts";
import type { Point } from "./region.ts";

/**
 * Where a point of the upright picture lies in the stored one.
 *
 * @param point - fractions of the upright picture
 * @param orientation - Exif Orientation, 1 to 8 (1: stored upright; 6: turn a quarter clockwise to see it upright)
 * @returns fractions of the stored picture
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` when the orientation is not 1 to 8 or the point not finite
 * @see [EXIF, Orientation 0x0112]
 *
 * @example
 * ```ts
 * storedFromUpright({ x: 0.25, y: 0 }, 6); // => { x: 0, y: 0.75 }
 * ```
 */
export function storedFromUpright(point: Point, orientation: number): Point {
  expectObject("the point", point);
  const x = expectFinite("x", point.x);
  const y = expectFinite("y", point.y);
  switch (orientation) {
    case 1:
      return { x, y };
    case 2:
      return { x: 1 - x, y };
    case 3:
      return { x: 1 - x, y: 1 - y };
    case 4:
      return { x, y: 1 - y };
    case 5:
      return { x: y, y: x };
    case 6:
      return { x: y, y: 1 - x };
    case 7:
      return { x: 1 - y, y: 1 - x };
    case 8:
      return { x: 1 - y, y: x };
    default:
      throw new ToneError(
        "TONE_OUT_OF_RANGE",
        `Expected 1 to 8 for an Exif orientation but received ${orientation}`,
      );
  }
}

/**
 * Where a point of the stored picture lies in the upright one: the inverse of {@link storedFromUpright}.
 *
 * @param point - fractions of the stored picture
 * @param orientation - Exif Orientation, 1 to 8
 * @returns fractions of the upright picture
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` when the orientation is not 1 to 8 or the point not finite
 *
 * @example
 * ```ts
 * uprightFromStored({ x: 0, y: 0.75 }, 6); // => { x: 0.25, y: 0 }
 * ```
 */
export function uprightFromStored(point: Point, orientation: number): Point {
  // Every orientation but the two quarter turns undoes itself; those undo each other.
  const inverse = orientation === 6 ? 8 : orientation === 8 ? 6 : orientation;
  return storedFromUpright(point, inverse);
}

/**
 * Whether an orientation exchanges width and height.
 *
 * @param orientation - Exif Orientation, 1 to 8
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` when the orientation is not 1 to 8
 *
 * @example
 * ```ts
 * swapsSides(6); // => true
 * ```
 */
export function swapsSides(orientation: number): boolean {
  return expectWhole("an Exif orientation", orientation, 1, 8) >= 5;
}
