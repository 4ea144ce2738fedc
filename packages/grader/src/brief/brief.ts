import {
  type Placement as CorePlacement,
  parsePlacement,
  parseRegion,
  parseStops,
  type Region,
  regionText,
  shownText,
  ToneError,
} from "@tonefall/tone-core";
import { GraderError, type GraderErrorCode } from "../model/errors.ts";
import type { Basis, Placement } from "../model/result.ts";

/**
 * What a frame was asked to show. Every key is optional: the picture's own keywords may hold what the brief leaves out, and
 * without a placement a frame is measured, not judged.
 */
export interface Brief {
  /**
   * Where the subject's tone is meant to land: a tone's name (`snow`), stops (`-2`, `"+1 2/3"`), a range
   * (`"1.5..2.3"`), a reflectance (`"36%"`) or a zone (`"VI"`).
   */
  readonly place?: string | number;
  /**
   * The subject: `whole`, `spot`, `partial`, one that the file describes (`subject-area`, `iptc:NAME`, `mwg:NAME`, or
   * `tagged`: that of its own keyword, else the only one there is), `box:x,y,w,h`, `circle:x,y,r`, `ellipse:x,y,rx,ry` or
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
  /**
   * What the codes of a picture mean that says nothing of it itself: `linear` light, as scientific cameras write it, or
   * `gamma 2.2` with any power. What a file says of its own colour wins, and the row says so.
   * @default sRGB
   */
  readonly transfer?: string;
}

/** A brief made ready: every text read, nothing left that could be wrong in itself. */
export interface ReadyBrief {
  readonly placement: Placement | null;
  /** Null stands for one that the file describes, which `regionText` names. */
  readonly region: Region | null;
  readonly regionText: string;
  /** Whether the brief names a region; the picture's own keywords may, where it does not. */
  readonly regionGiven: boolean;
  readonly tolerance: number | null;
  readonly basis: Basis | null;
  /** Left out where the brief says nothing of it: a key of rows that are kept must not change for that. */
  readonly transfer?: StatedTransfer;
}

/** The curve that a brief gives to pictures that name none: codes are light to the power of 1 / gamma, 1 for linear. */
interface StatedTransfer {
  readonly gamma: number;
}

/** The name of the one region that a file describes. */
export const TAGGED = "tagged";

/** Names of regions that a file describes; of the last two, what follows the colon is the file's. */
const IN_FILE = /^(?:subject-area|tagged|(?:iptc|mwg):\s*\S.*)$/i;

const BASES: readonly Basis[] = ["settings", "rendered", "scene"];

/**
 * Reads a brief's texts.
 *
 * @throws {@link GraderError} `bad-place`, `bad-region`, `bad-tolerance` or `bad-basis`, each saying what is accepted
 */
export function readyBrief(brief: Brief): ReadyBrief {
  const { place, region = "whole", tolerance, basis, transfer } = brief;
  const inFile = typeof region === "string" ? nameInFile(region.trim()) : null;
  const shape = inFile === null ? asGraderError("bad-region", () => readRegion(region)) : null;
  return {
    placement: place === undefined ? null : asGraderError("bad-place", () => readPlacement(place)),
    region: shape,
    regionText: shape ? regionText(shape) : (inFile ?? ""),
    regionGiven: brief.region !== undefined,
    tolerance: tolerance === undefined ? null : readTolerance(tolerance),
    basis: basis === undefined ? null : readBasis(basis),
    ...(transfer === undefined ? {} : { transfer: readTransfer(transfer) }),
  };
}

/** Displays and films lie between 1 and 3; what is beyond is a slip. */
const MOST_GAMMA = 5;

function readTransfer(transfer: string): StatedTransfer {
  const text = String(transfer).trim().toLowerCase();
  const gamma = text === "linear" ? 1 : Number(/^gamma\s+(\d(?:\.\d{1,4})?)$/.exec(text)?.[1]);
  if (gamma >= 1 && gamma <= MOST_GAMMA) return { gamma };
  throw new GraderError(
    "bad-transfer",
    `Expected linear or gamma 1 to ${MOST_GAMMA}, such as "gamma 2.2", for transfer but received "${text.slice(0, 40)}"`,
  );
}

function readPlacement(place: string | number): Placement {
  const { from, to, text }: CorePlacement = parsePlacement(place);
  return { from, to, text };
}

/** The name of a region in the file, null for any other region. */
function nameInFile(region: string): string | null {
  if (!IN_FILE.test(region)) return null;
  const [standard = "", name] = region.split(/:\s*(.*)/s);
  return name === undefined ? standard.toLowerCase() : `${standard.toLowerCase()}:${name}`;
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
      `Expected a tolerance above 0 and up to 10 stops, such as 1/3 or 0.5, but received "${shownText(String(tolerance))}"`,
    );
  }
  return stops;
}

function readBasis(basis: string): Basis {
  const known = BASES.find((name) => name === basis);
  if (known) return known;
  throw new GraderError(
    "bad-basis",
    `Expected ${BASES.join(", ")} for basis but received "${shownText(basis)}"`,
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
