import { GraderError } from "../../model/errors.ts";
import type { ViewSize } from "./frameView.ts";

/** Sizes for runs of up to so many frames. */
const SIZES: readonly (readonly [number, ViewSize])[] = [
  [60, { picture: 720, proxy: 240 }],
  [400, { picture: 448, proxy: 160 }],
  [Number.POSITIVE_INFINITY, { picture: 360, proxy: 160 }],
];

const LARGE_PICTURE = 1280;

/** How much is shown of each of so many frames. */
export function viewSize(pictures: string, frames: number): ViewSize | null {
  const [, size] = SIZES.find(([most]) => frames <= most) as (typeof SIZES)[number];
  switch (pictures) {
    case "none":
      return null;
    case "regions":
      return size;
    case "all":
      return { ...size, picture: LARGE_PICTURE };
    default:
      throw new GraderError(
        "bad-option",
        `Expected none, regions or all for pictures but received "${pictures}"`,
      );
  }
}
