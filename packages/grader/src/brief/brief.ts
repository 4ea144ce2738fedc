import {
  type Placement as CorePlacement,
  parsePlacement,
  parseRegion,
  parseStops,
  type Region,
  regionText,
  ToneError,
} from "@tonefall/tone-core";
import { GraderError, type GraderErrorCode } from "../errors.ts";
import type { Basis, Placement } from "../result.ts";

/** What a frame was asked to show. Every key is optional; without a placement a frame is measured, not judged. */
export interface Brief {
  /**
   * Where the subject's tone is meant to land: a tone's name (`snow`), stops (`-2`, `"+1 2/3"`), a range
   * (`"1.5..2.3"`), a reflectance (`"36%"`) or a zone (`"VI"`).
   */
  readonly place?: string | number;
  /**
   * The subject: `whole`, `spot`, `partial`, `subject-area`, `box:x,y,w,h`, `circle:x,y,r`, `ellipse:x,y,rx,ry` or
   * `polygon:x,y x,y x,y`, in fractions of the upright picture; or a region object.
   * @default "whole"
   */
  readonly region?: string | Region;
  /**
   * How far the tone may miss, in stops: a number or text such as `"1/3"`.
   * @default by basis: 1/3 rendered, 1/2 raw, 1 where a scene claim rests on an unknown JPEG or on settings
   */
  readonly tolerance?: string | number;
  /**
   * Which stops the claim is in.
   * @default "rendered" for pictures, "scene" for raw files
   */
  readonly basis?: Basis;
}

/** A brief made ready: every text read, nothing left that could be wrong in itself. */
export interface ReadyBrief {
  readonly placement: Placement | null;
  /** Null stands for the file's own subject area. */
  readonly region: Region | null;
  readonly regionText: string;
  readonly tolerance: number | null;
  readonly basis: Basis | null;
}

/** Where a file's own subject area is meant. */
const SUBJECT_AREA = "subject-area";

const BASES: readonly Basis[] = ["settings", "rendered", "scene"];

/**
 * Reads a brief's texts.
 *
 * @throws {@link GraderError} `bad-place`, `bad-region`, `bad-tolerance` or `bad-basis`, each saying what is accepted
 */
export function readyBrief(brief: Brief): ReadyBrief {
  const { place, region = "whole", tolerance, basis } = brief;
  const named = region === SUBJECT_AREA;
  const shape = named ? null : asGraderError("bad-region", () => readRegion(region));
  return {
    placement: place === undefined ? null : asGraderError("bad-place", () => readPlacement(place)),
    region: shape,
    regionText: shape ? regionText(shape) : SUBJECT_AREA,
    tolerance: tolerance === undefined ? null : readTolerance(tolerance),
    basis: basis === undefined ? null : readBasis(basis),
  };
}

function readPlacement(place: string | number): Placement {
  const { from, to, text }: CorePlacement = parsePlacement(place);
  return { from, to, text };
}

function readRegion(region: string | Region): Region {
  // An object is read back from its text form, which checks it as if it had been typed.
  return parseRegion(typeof region === "string" ? region : regionText(region));
}

function readTolerance(tolerance: string | number): number {
  const stops = asGraderError("bad-tolerance", () =>
    typeof tolerance === "number" ? tolerance : parseStops(tolerance),
  );
  if (!Number.isFinite(stops) || stops <= 0 || stops > 10) {
    throw new GraderError(
      "bad-tolerance",
      `Expected a tolerance above 0 and up to 10 stops, such as 1/3 or 0.5, but received "${tolerance}"`,
    );
  }
  return stops;
}

function readBasis(basis: string): Basis {
  const known = BASES.find((name) => name === basis);
  if (known) return known;
  throw new GraderError(
    "bad-basis",
    `Expected ${BASES.join(", ")} for basis but received "${basis}"`,
  );
}

function asGraderError<T>(code: GraderErrorCode, read: () => T): T {
  try {
    return read();
  } catch (error) {
    if (error instanceof ToneError) throw new GraderError(code, error.message, { cause: error });
    throw error;
  }
}
