import type { ImageRegion, RegionPoint } from "@tonefall/exif-reader";
import { type Region, regionText, swapsSides, uprightFromStored } from "@tonefall/tone-core";
import { TAGGED } from "../../brief/brief.ts";
import { GraderError } from "../../model/errors.ts";
import type { Note } from "../../model/note.ts";
import type { Exposure } from "../../model/result.ts";
import { isSameShape, referenceSize, type StoredPicture, subjectRegion } from "./subjectRegion.ts";
import { uprightBounds } from "./uprightBounds.ts";

const INSTEAD = "give a region such as spot or box:x,y,w,h";

/**
 * A region that the file itself describes, in fractions of the upright picture.
 *
 * @param name - `subject-area`, `iptc:NAME`, `mwg:NAME`, or `tagged` for the only one there is: marked by somebody, or
 *   else the camera's subject area
 * @returns the region, and a note that says where it comes from
 * @throws {@link GraderError} `no-such-region`, `several-regions`, `region-unusable`, `region-outside-frame`,
 *   `no-subject-area`
 * @see [IPTC, image regions]; [MWG, regions]: both before rotation by Orientation
 */
export function taggedRegion(
  name: string,
  exposure: Exposure,
  picture: StoredPicture,
): { region: Region; note: Note } {
  const marked = exposure.regions.value ?? [];
  const wanted = marked.filter((region) => name === TAGGED || isNamed(region, name));
  if (name === "subject-area" || (name === TAGGED && marked.length === 0)) {
    const region = subjectRegion(exposure, picture);
    return { region, note: fromFile("subject area", exposure.subjectArea) };
  }
  const [first] = wanted;
  if (first === undefined) {
    throw new GraderError(
      "no-such-region",
      `Expected a region ${name} in the file but it ${marked.length === 0 ? "has none" : `has ${listed(marked)}`}; ${INSTEAD}`,
    );
  }
  const regions = wanted.map((region) => uprightRegion(region, exposure, picture));
  // One region may be described in both forms.
  if (new Set(regions.map(regionText)).size > 1) {
    throw new GraderError(
      "several-regions",
      `Expected one region for ${name} but the file has ${listed(wanted)}; ${INSTEAD}, or name one`,
    );
  }
  return {
    region: regions[0] as Region,
    note: fromFile(`region ${labelOf(first)}`, exposure.regions),
  };
}

function fromFile(what: string, field: { readonly value: unknown; readonly from?: string }): Note {
  const message = `Measured in the file's own ${what} (${field.from ?? "metadata"}).`;
  return { code: "region-from-file", message };
}

function isNamed({ standard, name }: ImageRegion, wanted: string): boolean {
  return name !== null && `${standard}:${name}`.toLowerCase() === wanted.toLowerCase();
}

function labelOf({ standard, name }: ImageRegion): string {
  return name === null ? `${standard} (no name)` : `${standard}:${name}`;
}

function listed(regions: readonly ImageRegion[]): string {
  return regions.map(labelOf).join(", ");
}

function uprightRegion(marked: ImageRegion, exposure: Exposure, picture: StoredPicture): Region {
  const { boundary, appliedTo, unit } = marked;
  const refuse = (why: string): GraderError =>
    new GraderError("region-unusable", `The file's region ${labelOf(marked)} ${why}; ${INSTEAD}`);
  if (boundary.shape === "unusable") {
    throw refuse(`is not recorded as its standard asks (${boundary.reason})`);
  }
  if (boundary.shape === "point") throw refuse("is a single point, which has no area");
  if ((exposure.orientation.value ?? picture.orientation) !== picture.orientation) {
    throw refuse(
      "was marked in a picture that its container turns, and which way up is not recorded",
    );
  }
  if (appliedTo !== null && !isSameShape(appliedTo, picture)) {
    const [there, here] = [appliedTo, picture].map(({ width, height }) => `${width} x ${height}`);
    throw refuse(`was marked in a picture of another shape (${there}, not ${here})`);
  }
  const size = appliedTo ?? referenceSize(exposure, picture);
  const scale = unit === "pixel" ? size : { width: 1, height: 1 };
  const { orientation } = picture;
  const upright = ({ x, y }: RegionPoint): RegionPoint =>
    uprightFromStored({ x: x / scale.width, y: y / scale.height }, orientation);

  const inside = (region: Region, reach: readonly RegionPoint[]): Region => {
    const touches = (axis: "x" | "y"): boolean =>
      reach.some((point) => point[axis] < 1) && reach.some((point) => point[axis] > 0);
    if (touches("x") && touches("y")) return region;
    throw new GraderError(
      "region-outside-frame",
      `The file's region ${labelOf(marked)} lies outside its picture; ${INSTEAD}`,
    );
  };
  switch (boundary.shape) {
    case "rectangle": {
      const { x, y, width, height } = boundary;
      const corners = [upright({ x, y }), upright({ x: x + width, y: y + height })] as const;
      const { left, top, right, bottom } = uprightBounds(...corners);
      const box = {
        shape: "box",
        x: left,
        y: top,
        width: right - left,
        height: bottom - top,
      } as const;
      return inside(box, corners);
    }
    case "circle": {
      const centre = upright(boundary);
      const turned = swapsSides(orientation);
      const across = turned ? picture.height : picture.width;
      const down = turned ? picture.width : picture.height;
      const radius = boundary.radius * radiusUnitPixels(marked, picture, scale.width);
      const [radiusX, radiusY] = [radius / across, radius / down];
      return inside({ shape: "circle", ...centre, radius: radiusX }, [
        { x: centre.x - radiusX, y: centre.y - radiusY },
        { x: centre.x + radiusX, y: centre.y + radiusY },
      ]);
    }
    case "polygon": {
      const points = boundary.points.map(upright);
      return inside({ shape: "polygon", points }, points);
    }
  }
}

/** What a radius counts in, as pixels of this picture. */
function radiusUnitPixels(
  { unit, radiusOf }: ImageRegion,
  { width, height }: StoredPicture,
  scaleWidth: number,
): number {
  if (unit === "pixel") return width / scaleWidth;
  return radiusOf === "width" ? width : Math.min(width, height);
}
