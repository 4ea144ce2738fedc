/** A point of the picture as fractions of its width and height, (0, 0) at the top left, (1, 1) at the bottom right. */
export interface Point {
  /** Fraction of the width. */
  readonly x: number;
  /** Fraction of the height. */
  readonly y: number;
}

/** The whole picture. */
export interface WholeRegion {
  /** Which kind of region it is. */
  readonly shape: "whole";
}

/** A disc of a given share of the picture's area, round in pixels: a meter's spot or partial circle. */
export interface DiscRegion extends Point {
  /** Which kind of region it is. */
  readonly shape: "disc";
  /** Share of the picture's area, in (0, 1]. */
  readonly share: number;
}

/** An upright rectangle; `x` and `y` are its top left corner. */
export interface BoxRegion extends Point {
  /** Which kind of region it is. */
  readonly shape: "box";
  /** Fraction of the picture's width, > 0. */
  readonly width: number;
  /** Fraction of the picture's height, > 0. */
  readonly height: number;
}

/** A circle, round in pixels; `x` and `y` are its centre. */
export interface CircleRegion extends Point {
  /** Which kind of region it is. */
  readonly shape: "circle";
  /** Radius as a fraction of the picture's width, as IPTC image regions have it. */
  readonly radius: number;
}

/** An ellipse with upright axes; `x` and `y` are its centre. */
export interface EllipseRegion extends Point {
  /** Which kind of region it is. */
  readonly shape: "ellipse";
  /** Half its width, as a fraction of the picture's width. */
  readonly radiusX: number;
  /** Half its height, as a fraction of the picture's height. */
  readonly radiusY: number;
}

/** A polygon, filled by the even-odd rule. */
export interface PolygonRegion {
  /** Which kind of region it is. */
  readonly shape: "polygon";
  /** Corners in order, at least three. */
  readonly points: readonly Point[];
}

/** The part of the frame that is the subject, in fractions of the upright picture. */
export type Region =
  | WholeRegion
  | DiscRegion
  | BoxRegion
  | CircleRegion
  | EllipseRegion
  | PolygonRegion;

/** Area share of the default spot: within the 2 to 3.8 % that makers' manuals print [METERING-AREAS]. */
export const SPOT_SHARE = 0.03;

/** Area share of the default partial circle: 8.5 to 9 % in makers' manuals [METERING-AREAS]. */
export const PARTIAL_SHARE = 0.085;

/** The spot of a meter: {@link SPOT_SHARE} of the picture, at its centre. */
export const SPOT: DiscRegion = { shape: "disc", x: 0.5, y: 0.5, share: SPOT_SHARE };

/** The partial circle of a meter: {@link PARTIAL_SHARE} of the picture, at its centre. */
export const PARTIAL: DiscRegion = { shape: "disc", x: 0.5, y: 0.5, share: PARTIAL_SHARE };
