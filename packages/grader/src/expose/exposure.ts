import type { Point, Region } from "@tonefall/tone-core";
import type { SimulatedPattern } from "../model/metering.ts";

/** An exposure so many stops from the capture's own. */
export interface RelativeExposure {
  /** Stops; + is lighter, 0 is the capture's own exposure. */
  readonly by: number;
}

/** An exposure as a camera sets it that follows its meter. */
export interface MeteredExposure {
  /** The pattern that the meter reads by. */
  readonly asMetered: SimulatedPattern;
  /**
   * Compensation that was set, stops; + is lighter.
   * @default 0
   */
  readonly compensation?: number;
  /**
   * Centre of the spot, in fractions of the upright picture.
   * @default the middle
   */
  readonly spot?: Point;
  /**
   * The spot's share of the picture, in (0, 1].
   * @default 0.03
   */
  readonly spotShare?: number;
}

/** An exposure that puts a subject where it belongs, as a photographer sets it by hand. */
export interface PlacedExposure {
  /** Where the region is to fall, as in a brief; of a range its middle. */
  readonly place: string | number;
  /**
   * The subject, as in a brief.
   * @default "whole"
   */
  readonly region?: string | Region;
}

/** One exposure: exactly one of the ways to ask for it, and what is added to it. */
export type ExposureAsked = (RelativeExposure | MeteredExposure | PlacedExposure) & {
  /**
   * Stops that a bracket adds; + is lighter.
   * @default 0
   */
  readonly bracket?: number;
  /**
   * The f-number that the record names, with the time that lets in the same light.
   * @default the capture's own
   */
  readonly aperture?: number;
};

/** Settings that an exposure would have had, as a camera marks them. */
export interface MadeSettings {
  /** f-number. */
  readonly aperture: number;
  /** Exposure time, seconds. */
  readonly shutterSeconds: number;
  /** Arithmetic ISO speed. */
  readonly iso: number;
  /** How far the picture's exposure lies from that of the exact values behind these, stops: at most 1/6, from rounding to thirds. */
  readonly roundingStops: number;
}

/** An exposure worked out for one capture. */
export interface PlannedExposure {
  /** Stops against the capture's own exposure; + is lighter. */
  readonly stops: number;
  /** Short words for a table and a file's name: `as metered, spot -2`. */
  readonly label: string;
  /** Who set it. */
  readonly mode: "auto" | "manual";
  /** Whether it is one of a bracket. */
  readonly bracketed: boolean;
  /** What the meter read, before compensation; null where no meter was followed. */
  readonly reading: {
    /** The pattern. */
    readonly pattern: SimulatedPattern;
    /** Stops from middle grey in the capture. */
    readonly stops: number;
    /** Whether clipping in the capture hides some of the light. */
    readonly censored: boolean;
    /** Whether the spot was moved from the middle. */
    readonly spot: Point | null;
  } | null;
  /** Compensation, stops; null where the camera would not have recorded one. */
  readonly compensation: number | null;
  /** What was placed where; null where nothing was. */
  readonly placed: {
    /** The region in a brief's words. */
    readonly region: string;
    /** The placement in a brief's words. */
    readonly place: string;
    /** Where the region falls in the scene's light, stops from middle grey. */
    readonly falls: number;
    /** Whether clipping in the capture hides some of the region's light. */
    readonly censored: boolean;
  } | null;
  /** Null where the capture does not record its own. */
  readonly settings: MadeSettings | null;
}
