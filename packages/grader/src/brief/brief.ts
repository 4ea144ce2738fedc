import {
  type Placement as CorePlacement,
  nearestWord,
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
 * What a frame was asked to show. Every key is optional: the picture's own keywords fill in what the brief leaves out. A frame
 * without a placement is measured but not judged.
 */
export interface Brief {
  /**
   * Where the subject's tone belongs: a tone's name (`snow`), stops (`-2`, `"+1 2/3"`), a range (`"1.5..2.3"`), a
   * reflectance (`"36%"`) or a zone (`"VI"`).
   */
  readonly place?: string | number;
  /**
   * The subject: `whole`, `spot`, `partial`, `box:x,y,w,h`, `circle:x,y,r`, `ellipse:x,y,rx,ry` or
   * `polygon:x,y x,y x,y`, in fractions of the upright picture; or a region object; or a region that the file describes:
   * `subject-area`, `iptc:NAME`, `mwg:NAME`, or `tagged` (the one that its own keyword names, otherwise its only one).
   * @default "whole"
   */
  readonly region?: string | Region;
  /**
   * How far the tone may miss, in stops: a number or text such as `"1/3"`.
   * @default depends on the basis: 1/3 for rendered, 1/2 for raw, 1 for a scene claim that rests on an unknown JPEG or on settings
   */
  readonly tolerance?: string | number;
  /**
   * Which stops the claim is in.
   * @default "rendered" for pictures, "scene" for raw files
   */
  readonly basis?: Basis;
  /**
   * What the codes mean in a picture that does not say: `linear` light, as scientific cameras write it, or a power of it,
   * such as `gamma 2.2`. A file's own colour profile takes precedence, and the row reports that.
   * @default sRGB
   */
  readonly transfer?: string;
  /**
   * The power alone: `2.2` says the same as `transfer: "gamma 2.2"`. Give one of the two, or two that agree.
   * @default what `transfer` says
   */
  readonly gamma?: string | number;
}

/** A brief with every text read and checked. */
export interface ReadyBrief {
  readonly placement: Placement | null;
  /** Null for a region that the file describes; `regionText` names it. */
  readonly region: Region | null;
  readonly regionText: string;
  /** Whether the brief names a region; if not, the picture's own keywords may. */
  readonly regionGiven: boolean;
  readonly tolerance: number | null;
  readonly basis: Basis | null;
  /** Left out where the brief gives none, so that the keys of rows kept in journals and caches stay the same. */
  readonly transfer?: StatedTransfer;
}

/** The curve for pictures that name none: a code is light to the power of 1 / gamma; gamma is 1 for linear light. */
interface StatedTransfer {
  readonly gamma: number;
}

/** The name of the one region that a file describes. */
export const TAGGED = "tagged";

/** Names of regions that a file describes; after `iptc:` and `mwg:` comes the file's own name for it. */
const IN_FILE = /^(?:subject-area|tagged|(?:iptc|mwg):\s*\S.*)$/i;

const BASES: readonly Basis[] = ["settings", "rendered", "scene"];

/**
 * Reads and checks a brief's texts.
 *
 * @throws {@link GraderError} `bad-brief` for a key that a brief does not have; `bad-place`, `bad-region`, `bad-tolerance`,
 *   `bad-basis` or `bad-transfer`; each message lists what is accepted
 */
export function readyBrief(brief: Brief): ReadyBrief {
  requireKnownKeys(brief);
  const { place, region = "whole", tolerance, basis } = brief;
  const transfer = readTransfer(brief);
  const inFile = typeof region === "string" ? nameInFile(region.trim()) : null;
  const shape = inFile === null ? asGraderError("bad-region", () => readRegion(region)) : null;
  return {
    placement: place === undefined ? null : asGraderError("bad-place", () => readPlacement(place)),
    region: shape,
    regionText: shape ? regionText(shape) : (inFile ?? ""),
    regionGiven: brief.region !== undefined,
    tolerance: tolerance === undefined ? null : readTolerance(tolerance),
    basis: basis === undefined ? null : readBasis(basis),
    ...(transfer === null ? {} : { transfer }),
  };
}

const KEYS: Readonly<Record<keyof Brief, true>> = {
  place: true,
  region: true,
  tolerance: true,
  basis: true,
  transfer: true,
  gamma: true,
};

/** A key that nobody reads is a typing mistake, and would leave a frame unjudged. */
function requireKnownKeys(brief: Brief): void {
  const unknown = Object.keys(brief).find((key) => !Object.hasOwn(KEYS, key));
  if (unknown === undefined) return;
  const known = Object.keys(KEYS);
  const nearest = nearestWord(unknown, known);
  const help = nearest ? `did you mean "${nearest}"?` : `the keys are ${known.join(", ")}`;
  throw new GraderError(
    "bad-brief",
    `Expected the keys of a brief but received "${shownText(unknown)}"; ${help}`,
  );
}

/** Displays and films have a gamma between 1 and 3; a value above this is a typing mistake. */
const MOST_GAMMA = 5;

const GAMMA_FORM = /^\d(?:\.\d{1,4})?$/;

/** The curve that `transfer` or `gamma` gives, or both where they agree; null where the brief has neither. */
function readTransfer({ transfer, gamma }: Brief): StatedTransfer | null {
  const stated = transfer === undefined ? null : gammaOfTransfer(transfer);
  const alone = gamma === undefined ? null : readGamma(gamma);
  if (stated !== null && alone !== null && stated !== alone) {
    throw new GraderError(
      "bad-transfer",
      `Expected transfer and gamma to agree, but transfer is "${shownText(String(transfer))}" and gamma is ${alone}; give one of them`,
    );
  }
  const power = stated ?? alone;
  return power === null ? null : { gamma: power };
}

function gammaOfTransfer(transfer: string): number {
  const text = String(transfer).trim().toLowerCase();
  const power =
    text === "linear"
      ? 1
      : powerIn(text.startsWith("gamma ") ? text.slice("gamma ".length).trim() : "");
  if (power !== null) return power;
  throw new GraderError(
    "bad-transfer",
    `Expected linear or gamma 1 to ${MOST_GAMMA}, such as "gamma 2.2", for transfer but received "${shownText(text)}"`,
  );
}

function readGamma(gamma: string | number): number {
  const power = powerIn(String(gamma).trim());
  if (power !== null) return power;
  throw new GraderError(
    "bad-transfer",
    `Expected a number from 1 to ${MOST_GAMMA}, such as 2.2, for gamma but received "${shownText(String(gamma))}"`,
  );
}

function powerIn(text: string): number | null {
  const power = GAMMA_FORM.test(text) ? Number(text) : Number.NaN;
  return power >= 1 && power <= MOST_GAMMA ? power : null;
}

function readPlacement(place: string | number): Placement {
  const { from, to, text }: CorePlacement = parsePlacement(place);
  return { from, to, text };
}

/** The name of a region that the file describes; null for any other region. */
function nameInFile(region: string): string | null {
  if (!IN_FILE.test(region)) return null;
  const [standard = "", name] = region.split(/:\s*(.*)/s);
  return name === undefined ? standard.toLowerCase() : `${standard.toLowerCase()}:${name}`;
}

function readRegion(region: string | Region): Region {
  // An object is turned into text and read back, so that it passes the same checks as a typed region.
  return parseRegion(typeof region === "string" ? region : regionText(region));
}

function readTolerance(tolerance: string | number): number {
  const stops = typeof tolerance === "number" ? tolerance : stopsTyped(tolerance);
  if (!Number.isFinite(stops) || stops <= 0 || stops > 10) {
    throw new GraderError(
      "bad-tolerance",
      `Expected a tolerance above 0 and up to 10 stops, such as 1/3 or 0.5, but received "${shownText(String(tolerance))}"`,
    );
  }
  return stops;
}

/** NaN for what is no number of stops. */
function stopsTyped(text: string): number {
  try {
    return parseStops(text);
  } catch {
    return Number.NaN;
  }
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
