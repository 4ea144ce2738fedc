import { type Region, uprightFromStored } from "@tonefall/tone-core";
import { GraderError } from "../../model/errors.ts";
import type { Exposure } from "../../model/result.ts";
import { uprightBounds } from "./uprightBounds.ts";

/** The stored picture a subject area is laid into. */
export interface StoredPicture {
  readonly width: number;
  readonly height: number;
  readonly orientation: number;
}

/**
 * The file's own subject area as a region of the upright picture.
 *
 * Exif gives it in pixels of the stored picture as it left the camera, with its centre; where the picture has been resized
 * since, the size that the metadata states is the one the numbers refer to. A bare point has no area, and so no region.
 *
 * @throws {@link GraderError} `no-subject-area` when the file has none, `region-outside-frame` when it leaves the picture
 * @see [EXIF, SubjectArea 0x9214]
 */
export function subjectRegion(exposure: Exposure, picture: StoredPicture): Region {
  const area = exposure.subjectArea.value;
  if (!area || area.shape === "point") {
    throw new GraderError(
      "no-subject-area",
      `Expected a subject area in the file but it ${area ? "is a single point" : "has none"}; give a region such as spot or box:x,y,w,h`,
    );
  }
  const { width, height } = referenceSize(exposure, picture);
  const [across, down] =
    area.shape === "circle" ? [area.diameter, area.diameter] : [area.width, area.height];
  const corners = [-0.5, 0.5].map((side) =>
    uprightFromStored(
      { x: (area.x + side * across) / width, y: (area.y + side * down) / height },
      picture.orientation,
    ),
  ) as [{ x: number; y: number }, { x: number; y: number }];
  const { left, top, right, bottom } = uprightBounds(...corners);
  if (right <= 0 || bottom <= 0 || left >= 1 || top >= 1) {
    throw new GraderError(
      "region-outside-frame",
      "The file's subject area lies outside its picture; give a region such as spot or box:x,y,w,h",
    );
  }
  if (area.shape === "circle") {
    return {
      shape: "ellipse",
      x: (left + right) / 2,
      y: (top + bottom) / 2,
      radiusX: (right - left) / 2,
      radiusY: (bottom - top) / 2,
    };
  }
  return { shape: "box", x: left, y: top, width: right - left, height: bottom - top };
}

/** A picture's size in pixels. */
interface Size {
  readonly width: number;
  readonly height: number;
}

/** The size that pixels of the metadata count in: the one it states, else the picture's own. */
export function referenceSize(
  { pixelWidth, pixelHeight }: Exposure,
  { width, height }: StoredPicture,
): Size {
  const stated = { width: pixelWidth.value ?? 0, height: pixelHeight.value ?? 0 };
  if (stated.width <= 0 || stated.height <= 0) return { width, height };
  // A stated size of another shape belongs to another picture (a crop, a turned copy): it says nothing of this one.
  return isSameShape(stated, { width, height }) ? stated : { width, height };
}

/** Whether one picture may be the other resized, within the rounding of small sizes. */
export function isSameShape(a: Size, b: Size): boolean {
  return Math.abs((a.width / a.height) * (b.height / b.width) - 1) < 0.02;
}
