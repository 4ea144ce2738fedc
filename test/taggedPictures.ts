import { xmpFixture } from "../packages/exif-reader/test/xmpFixture.ts";
import { picture } from "./pictures.ts";

/** Size of the pictures, as stored. */
export const WIDTH = 60;
export const HEIGHT = 40;

/** The code of the marked part. */
export const INSIDE = 200;
/** The code of the rest. */
const OUTSIDE = 60;

/** A PNG with these elements and attributes in its XMP, whose stored pixels with centres inside are lighter. */
export function taggedPicture(
  elements: string,
  isInside: (x: number, y: number) => boolean = () => true,
  attributes = "",
): Promise<Buffer> {
  const code = (x: number, y: number) => (isInside(x + 0.5, y + 0.5) ? INSIDE : OUTSIDE);
  return picture(WIDTH, HEIGHT, (x, y) => Array<number>(3).fill(code(x, y)))
    .withXmp(xmpFixture(attributes, elements))
    .png()
    .toBuffer();
}
