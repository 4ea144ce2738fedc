import type { ImageRegion, RegionBoundary, RegionPoint } from "../exposureRecord.ts";
import { printableText } from "../text/printableText.ts";
import { itemsOf, type XmpProperties } from "./parseXmp.ts";

/** The property that holds IPTC image regions. */
export const IPTC_REGIONS = "Iptc4xmpExt:ImageRegion";
/** The property that holds regions of the Metadata Working Group. */
export const MWG_REGIONS = "mwg-rs:Regions";
/** A text that every packet with regions holds, whatever prefixes it binds. */
export const REGIONS_NAMED: RegExp = /:(?:RegionBoundary|RegionList)\b/;

/** The kinds of IPTC region that show a person, by the last part of their identifier. */
const PERSON_TYPES: ReadonlySet<string> = new Set([
  "human",
  "person",
  "face",
  "headshot",
  "bodypart",
]);
/** The kinds of MWG region whose name is never a person's: only their names are returned. */
const NAMELESS_SUBJECTS: ReadonlySet<string> = new Set(["focus", "barcode"]);
const LIVING_SUBJECTS: ReadonlySet<string> = new Set(["face", "pet"]);

/** Limits: more regions than this say nothing about the subject, and nobody draws more corners than this by hand. */
const MOST_REGIONS = 64;
const MOST_CORNERS = 1024;
/** Wider than any picture, pixels. */
const MOST_UNITS = 2 ** 20;

/** One region as recorded, and whether it is somebody's likeness. */
interface Candidate {
  readonly region: ImageRegion;
  readonly isLiving: boolean;
  /** The name it is recorded under, returned or not. */
  readonly recorded: string | null;
}

/**
 * The regions in XMP, IPTC's before those of the Metadata Working Group.
 *
 * Regions of people and pets are left out, and so is every region that bears the name of a person
 * in the picture.
 *
 * @see [IPTC, image regions]; [MWG, regions]
 */
export function xmpRegions(properties: XmpProperties): ImageRegion[] {
  const dimensions = `${MWG_REGIONS}/mwg-rs:AppliedToDimensions`;
  const appliedTo = appliedSize(properties, dimensions);
  const candidates = [
    ...itemsOf(properties, IPTC_REGIONS).map(iptcRegion),
    ...itemsOf(properties, `${MWG_REGIONS}/mwg-rs:RegionList`).map((item) =>
      mwgRegion(item, appliedTo),
    ),
  ];
  const people = new Set(
    (properties.get("Iptc4xmpExt:PersonInImage") ?? []).map((name) => printableText(name)),
  );
  for (const { isLiving, recorded } of candidates) {
    if (isLiving && recorded !== null) people.add(recorded);
  }
  return candidates
    .filter(({ isLiving, recorded }) => !isLiving && !(recorded !== null && people.has(recorded)))
    .map(({ region }) => region)
    .slice(0, MOST_REGIONS);
}

/** Rectangles by their top left corner, circles by centre and radius, polygons by their corners. */
function iptcRegion(item: XmpProperties): Candidate {
  const at = (name: string) => `Iptc4xmpExt:RegionBoundary/Iptc4xmpExt:${name}`;
  const value = (name: string) => number(item, at(name));
  const shape = text(item, at("rbShape"));
  const unit = text(item, at("rbUnit"));
  const name = text(item, "Iptc4xmpExt:Name") ?? text(item, "Iptc4xmpExt:rId");

  const boundary = (): RegionBoundary => {
    if (unit !== "relative" && unit !== "pixel") return MALFORMED;
    const point = { x: value("rbX"), y: value("rbY") };
    if (shape === "rectangle") return rectangle(point, value("rbW"), value("rbH"));
    if (shape === "circle") return circle(point, value("rbRx"));
    return shape === "polygon" ? polygon(itemsOf(item, at("rbVertices"))) : MALFORMED;
  };
  return {
    region: {
      standard: "iptc",
      name,
      unit: unit === "pixel" ? "pixel" : "relative",
      radiusOf: "width",
      appliedTo: null,
      boundary: boundary(),
    },
    isLiving: showsPerson(item),
    recorded: name,
  };
}

function showsPerson(item: XmpProperties): boolean {
  if ([...item.keys()].some((path) => path.startsWith("Iptc4xmpExt:PersonInImage"))) return true;
  const kinds = itemsOf(item, "Iptc4xmpExt:rCtype").flatMap((kind) => [
    ...(kind.get("xmp:Identifier") ?? []),
    ...(kind.get("Iptc4xmpExt:Name") ?? []),
  ]);
  return kinds.some((kind) => {
    const [last = ""] = kind.split(/[/#:]/).slice(-1);
    return PERSON_TYPES.has(last.replaceAll(/[\s-]/g, "").toLowerCase());
  });
}

/** Every shape by its centre: a rectangle with its size, a circle with its diameter. */
function mwgRegion(item: XmpProperties, appliedTo: ImageRegion["appliedTo"]): Candidate {
  const value = (name: string) => number(item, `mwg-rs:Area/stArea:${name}`);
  const [x, y, width, height, diameter] = ["x", "y", "w", "h", "d"].map(value);
  const unit = text(item, "mwg-rs:Area/stArea:unit") ?? "normalized";
  const type = text(item, "mwg-rs:Type")?.toLowerCase() ?? "";
  const recorded = text(item, "mwg-rs:Name") ?? text(item, "mwg-rs:Title");

  const boundary = (): RegionBoundary => {
    if (unit !== "normalized" && unit !== "pixel") return MALFORMED;
    if (x === undefined || y === undefined) return MALFORMED;
    if (width !== undefined || height !== undefined) {
      const corner = { x: x - (width ?? 0) / 2, y: y - (height ?? 0) / 2 };
      return rectangle(corner, width, height);
    }
    if (diameter !== undefined) return circle({ x, y }, diameter / 2);
    return sound([x, y], { shape: "point", x, y });
  };
  return {
    region: {
      standard: "mwg",
      name: NAMELESS_SUBJECTS.has(type) ? recorded : null,
      unit: unit === "pixel" ? "pixel" : "relative",
      radiusOf: "smaller-side",
      appliedTo,
      boundary: boundary(),
    },
    isLiving: LIVING_SUBJECTS.has(type),
    recorded,
  };
}

function appliedSize(properties: XmpProperties, path: string): ImageRegion["appliedTo"] {
  const width = number(properties, `${path}/stDim:w`);
  const height = number(properties, `${path}/stDim:h`);
  const isSize = width !== undefined && height !== undefined && width > 0 && height > 0;
  return isSize ? { width, height } : null;
}

/** A place some of whose numbers may be missing. */
interface LoosePoint {
  readonly x: number | undefined;
  readonly y: number | undefined;
}

const MALFORMED: RegionBoundary = { shape: "unusable", reason: "malformed" };

function rectangle(
  { x, y }: LoosePoint,
  width: number | undefined,
  height: number | undefined,
): RegionBoundary {
  if (x === undefined || y === undefined || width === undefined || height === undefined) {
    return MALFORMED;
  }
  const faulty = sizeFault(width) ?? sizeFault(height);
  return faulty ?? sound([x, y, width, height], { shape: "rectangle", x, y, width, height });
}

function circle({ x, y }: LoosePoint, radius: number | undefined): RegionBoundary {
  if (x === undefined || y === undefined || radius === undefined) return MALFORMED;
  return sizeFault(radius) ?? sound([x, y, radius], { shape: "circle", x, y, radius });
}

/** A polygon of one corner is a point. */
function polygon(corners: readonly XmpProperties[]): RegionBoundary {
  const points: RegionPoint[] = [];
  for (const corner of corners.slice(0, MOST_CORNERS + 1)) {
    const x = number(corner, "Iptc4xmpExt:rbX");
    const y = number(corner, "Iptc4xmpExt:rbY");
    if (x === undefined || y === undefined) return MALFORMED;
    points.push({ x, y });
  }
  if (points.length > MOST_CORNERS) return { shape: "unusable", reason: "absurd" };
  const numbers = points.flatMap(({ x, y }) => [x, y]);
  const [first] = points;
  if (first !== undefined && points.length === 1)
    return sound(numbers, { shape: "point", ...first });
  return points.length < 3 ? MALFORMED : sound(numbers, { shape: "polygon", points });
}

function sizeFault(size: number): RegionBoundary | null {
  if (size > 0) return null;
  return { shape: "unusable", reason: size < 0 ? "negative" : "zero" };
}

/** The boundary, unless one of its numbers is larger than any picture. */
function sound(numbers: readonly number[], boundary: RegionBoundary): RegionBoundary {
  return numbers.every((value) => Math.abs(value) <= MOST_UNITS)
    ? boundary
    : { shape: "unusable", reason: "absurd" };
}

function text(properties: XmpProperties, path: string): string | null {
  return printableText(properties.get(path)?.[0] ?? "") || null;
}

/** A decimal number; undefined where there is none. */
function number(properties: XmpProperties, path: string): number | undefined {
  const recorded = properties.get(path)?.[0]?.trim() ?? "";
  return /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d+)?$/i.test(recorded)
    ? Number(recorded)
    : undefined;
}
