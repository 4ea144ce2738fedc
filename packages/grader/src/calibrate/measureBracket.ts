import {
  ERROR_BUDGET,
  hypot,
  log2,
  MIDDLE_GREY,
  median,
  type RecoveredResponse,
  recoverResponse,
  responseCurve,
  type TransferFunction,
} from "@tonefall/tone-core";
import type { CameraKit, KitPoint } from "../kit/kit.ts";
import { measuredFrom, oneKit } from "../kit/kitIdentity.ts";
import { GraderError } from "../model/errors.ts";
import { naturalOrder } from "../model/naturalOrder.ts";
import type { Note } from "../model/note.ts";
import { bracketExposures } from "./bracketExposures.ts";
import { bracketPlaces } from "./bracketPlaces.ts";
import { type BlockGrid, blockGrid } from "./flatBlocks.ts";
import { invertMatrix } from "./invertMatrix.ts";
import { type KitFrame, openKitFrame } from "./kitFrame.ts";

/** One frame of a bracket against the curve. */
export interface BracketFrame {
  /** The path as given, with forward slashes. */
  readonly file: string;
  /** Given exposure, stops; of typed times, from the first frame. */
  readonly exposure: number;
  /** Whether the curve rests on it. */
  readonly included: boolean;
  /** How far the frame is from the curve at its given exposure, stops; null where it holds no tone to tell. */
  readonly residual: number | null;
  /** By how much lighter it is than its exposure says, stops; null with the residual. */
  readonly offset: number | null;
  /** Why it was left out; null where it was not. */
  readonly reason: string | null;
}

/** What a bracket comes to. */
export interface BracketResult {
  /** Null where the whole is refused. */
  readonly kit: CameraKit | null;
  /** Why there is no kit; null where there is one. */
  readonly refusal: Note | null;
  /** In the order of the files. */
  readonly frames: readonly BracketFrame[];
}

/** How a bracket is measured. */
export interface BracketOptions {
  /**
   * Exposure times in seconds in the order of the files.
   * @default from metadata
   */
  readonly times?: readonly number[];
}

/** Fewer frames than this cannot show that one of them is out of line. */
const LEAST_FRAMES = 3;

/** A frame further from the curve than this, stops, does not fit. */
const LARGEST_RESIDUAL = 0.15;

/** A frame with fewer places than this tells nothing. */
const LEAST_PLACES = 8;

/** More frames than this share out of line, and it is the bracket that is wrong. */
const LARGEST_SHARE_LEFT_OUT = 1 / 3;

/** What one frame's marked settings are off by: the budget's figure is of a pair. */
const EXPOSURE_ERROR: number = ERROR_BUDGET.response.settingsPair / Math.SQRT2;

/**
 * Measures a rendering's response from a bracket of one still scene.
 *
 * @param paths - three frames or more of one camera, style and size, in any order
 * @throws {@link GraderError} `kit-mixed`, `kit-refused`, `bad-option` or what keeps a frame from being read
 *
 * @example
 * ```ts
 * const { kit, frames } = await measureBracket(["a.jpg", "b.jpg", "c.jpg"], { times: [1 / 40, 1 / 10, 1 / 2.5] });
 * ```
 */
export async function measureBracket(
  paths: readonly string[],
  { times }: BracketOptions = {},
): Promise<BracketResult> {
  if (paths.length < LEAST_FRAMES) {
    throw refused(
      `Expected ${LEAST_FRAMES} frames or more for a bracket but received ${paths.length}; photograph a still scene in steps of a stop`,
    );
  }
  const opened: Opened[] = [];
  for (const path of paths) opened.push(await openBracketFrame(path));
  const rows = opened.map(({ row }) => row);
  const identity = oneKit(rows);
  requireOnePicture(opened);
  const exposures = bracketExposures(rows, times);

  const channels = (opened[0] as Opened).grid.channels;
  const luminance = channels.length - 1;
  const search = findFrames(opened, exposures, luminance);
  const frames = search.frames.map((frame, i) => ({
    file: rows[i]?.file as string,
    exposure: exposures[i] as number,
    ...frame,
  }));
  const { response } = search;
  // Times in another order can leave out a few frames and fit the rest, which are then a step off alike.
  const hint = times && !everyFrameFits(search) ? betterOrder(opened, times, luminance) : "";
  if (!response || hint) {
    const why = search.refusal?.message ?? "The frames do not follow the times in this order.";
    return { kit: null, refusal: { code: "kit-refused", message: `${why}${hint}` }, frames };
  }

  const kept = frames.flatMap(({ included }, i) => (included ? [i] : []));
  const colours = ["red", "green", "blue"].flatMap((name) => {
    const channel = channels.indexOf(name);
    if (channel < 0) return [];
    const points = recover(opened, exposures, kept, channel)?.points;
    return points ? [[name, points] as const] : [];
  });
  const kit: CameraKit = {
    schemaVersion: 1,
    ...identity,
    iso: measuredFrom(rows).iso,
    middleGrey: null,
    curve: {
      luminance: response.points,
      ...(colours.length === 3
        ? (Object.fromEntries(colours) as Record<string, readonly KitPoint[]>)
        : {}),
    },
    uncertainty: response.uncertainty,
    measured: {
      how: ["bracket"],
      frames: kept.length,
      on: measuredFrom(rows).on,
      residuals: frames.flatMap(({ included, exposure, residual }) =>
        included && residual !== null ? [{ exposure, residual }] : [],
      ),
    },
  };
  return { kit, refusal: null, frames };
}

interface Opened {
  readonly row: KitFrame["row"];
  readonly grid: BlockGrid;
  readonly transfer: TransferFunction;
  /** What two frames of one bracket have in common: size and colour. */
  readonly shape: string;
}

async function openBracketFrame(path: string): Promise<Opened> {
  const { row, frame } = await openKitFrame(path);
  if (!frame.transfer || frame.basis !== "rendered") {
    throw refused(
      `${row.file} is a raw file, whose response is a straight line already; give the rendered frames`,
    );
  }
  return {
    row,
    grid: blockGrid(frame),
    transfer: frame.transfer,
    shape: `${frame.width} x ${frame.height} pixels, ${frame.channels.length} channels, ${frame.colour.description}`,
  };
}

function requireOnePicture(opened: readonly Opened[]): void {
  const [first, ...others] = opened;
  const other = others.find(({ shape }) => shape !== first?.shape);
  if (other) {
    throw new GraderError(
      "kit-mixed",
      `Expected frames of one size and colour space but ${other.row.file} has ${other.shape} instead of ${first?.shape}`,
    );
  }
}

/** In which usual order typed times would fit every frame, as a sentence; empty where in none. */
function betterOrder(opened: readonly Opened[], times: readonly number[], channel: number): string {
  const rows = opened.map(({ row }) => row);
  const names = rows.map(({ file }) => file);
  const natural = [...names].sort(naturalOrder);
  const asText = [...names].sort();
  const rising = [...times].sort((a, b) => a - b);
  const orders: readonly (readonly [times: readonly number[], words: string])[] = [
    [
      names.map((name) => times[natural.indexOf(name)] as number),
      "The same times fit the files in the natural order of their names, 9 before 10: give them in that order.",
    ],
    [
      names.map((name) => times[asText.indexOf(name)] as number),
      "The same times fit the files in the order of their names as text, 10 before 9: give the files or the times in the other order.",
    ],
    [
      times.toReversed(),
      "The same times fit these files in reverse: type them from the last to the first.",
    ],
    [rising, "The same times fit these files from the shortest to the longest: type them so."],
    [
      rising.toReversed(),
      "The same times fit these files from the longest to the shortest: type them so.",
    ],
  ];
  for (const [order, words] of orders) {
    const search = findFrames(opened, bracketExposures(rows, order), channel);
    if (everyFrameFits(search)) return ` ${words}`;
  }
  return "";
}

/** A frame without a residual is black or white, and fits anywhere. */
function everyFrameFits({ response, frames }: Search): boolean {
  return (
    response !== null && frames.every(({ included, residual }) => included || residual === null)
  );
}

interface Search {
  readonly response: RecoveredResponse | null;
  readonly refusal: Note | null;
  readonly frames: readonly Omit<BracketFrame, "file" | "exposure">[];
}

/** Recovers the curve of luminance, leaving out the frame furthest from it for as long as one is too far. */
function findFrames(
  opened: readonly Opened[],
  exposures: readonly number[],
  channel: number,
): Search {
  const found = copiesAmong(opened, exposures);
  const least = Math.max(LEAST_FRAMES, Math.ceil(opened.length * (1 - LARGEST_SHARE_LEFT_OUT)));
  let kept = [...opened.keys()].filter((frame) => !found.has(frame));
  let empty = found.size;
  let response: RecoveredResponse | null = null;
  for (;;) {
    response = recover(opened, exposures, kept, channel);
    if (!response) break;
    const agreements = response.frames;
    const silent = kept.filter((_, i) => (agreements[i]?.places ?? 0) < LEAST_PLACES);
    for (const frame of silent) {
      empty += 1;
      found.set(frame, {
        included: false,
        residual: null,
        offset: null,
        reason: "It holds too few tones between black and white that another frame shows too.",
      });
    }
    if (silent.length > 0) {
      kept = kept.filter((frame) => !silent.includes(frame));
      if (kept.length < LEAST_FRAMES) break;
      continue;
    }
    for (const [i, frame] of kept.entries()) {
      const { residual, offset, spread } = agreements[i] as (typeof agreements)[number];
      const fits = residual <= LARGEST_RESIDUAL;
      found.set(frame, {
        included: fits,
        residual,
        offset,
        reason: fits ? null : reasonOf(offset, spread),
      });
    }
    const [worst] = [...kept].sort(
      (a, b) => (found.get(b)?.residual ?? 0) - (found.get(a)?.residual ?? 0),
    );
    if ((found.get(worst as number)?.residual ?? 0) <= LARGEST_RESIDUAL) break;
    if (kept.length - 1 < least - empty || kept.length - 1 < LEAST_FRAMES) {
      response = null;
      break;
    }
    kept = kept.filter((frame) => frame !== worst);
  }
  const frames = opened.map(
    (_, frame) =>
      found.get(frame) ?? { included: false, residual: null, offset: null, reason: NO_CURVE },
  );
  if (response && kept.length >= LEAST_FRAMES) {
    const { points } = response;
    const judged = frames.map((frame, i) =>
      frame.residual === null || frame.included
        ? frame
        : againstCurve(opened, exposures, kept, i, points),
    );
    return { response, refusal: null, frames: judged };
  }
  const strays = opened.flatMap(({ row }, i) =>
    (frames[i]?.residual ?? 0) > LARGEST_RESIDUAL ? [row.file] : [],
  );
  const message =
    strays.length > 0
      ? `The frames do not follow one curve: ${strays.join(", ")} ${strays.length === 1 ? "is" : "are"} over ${LARGEST_RESIDUAL} stop off. The light, the toning, the camera's place or the order of the times may have changed; photograph the bracket again.`
      : "The frames share too few flat tones between black and white; take smaller steps of a scene with even surfaces.";
  return { response: null, refusal: { code: "kit-refused", message }, frames };
}

/** Frames that are an earlier one once more: two copies are no two exposures, and would state an error too small. */
function copiesAmong(
  opened: readonly Opened[],
  exposures: readonly number[],
): Map<number, Omit<BracketFrame, "file" | "exposure">> {
  const copies = new Map<number, Omit<BracketFrame, "file" | "exposure">>();
  const firsts = new Map<string, string>();
  for (const [frame, { row, grid }] of opened.entries()) {
    const codes = grid.blocks.map((blocks) => blocks.map(({ code }) => code));
    const key = JSON.stringify([exposures[frame], codes]);
    const first = firsts.get(key);
    if (first === undefined) firsts.set(key, row.file);
    else {
      const reason = `It is ${first} once more.`;
      copies.set(frame, { included: false, residual: null, offset: null, reason });
    }
  }
  return copies;
}

/** A frame that was left out, held against the curve of the others: it no longer draws the curve towards itself. */
function againstCurve(
  opened: readonly Opened[],
  exposures: readonly number[],
  kept: readonly number[],
  frame: number,
  points: RecoveredResponse["points"],
): Omit<BracketFrame, "file" | "exposure"> {
  const { stopsAt } = responseCurve(points);
  const grids = opened.map(({ grid }) => grid);
  const luminance = (grids[0] as BlockGrid).channels.length - 1;
  const deviations = bracketPlaces(grids, luminance).flatMap((seen) => {
    const light = ({ frame: of, code }: (typeof seen)[number]): number =>
      stopsAt(code) - (exposures[of] as number);
    const own = seen.find((observation) => observation.frame === frame);
    const others = seen.filter((observation) => kept.includes(observation.frame)).map(light);
    return own && others.length > 0 ? [light(own) - median(others)] : [];
  });
  if (deviations.length === 0) {
    return { included: false, residual: null, offset: null, reason: NO_COMMON_TONE };
  }
  const offset = median(deviations);
  const spread = 1.4826 * median(deviations.map((value) => Math.abs(value - offset)));
  return {
    included: false,
    residual: hypot(offset, spread),
    offset,
    reason: reasonOf(offset, spread),
  };
}

const NO_COMMON_TONE = "It shows no tone that the others show as well.";
const NO_CURVE = "There is no curve to hold it against.";

function reasonOf(offset: number, spread: number): string {
  if (Math.abs(offset) >= spread) {
    const side = offset > 0 ? "lighter" : "darker";
    return `It is ${Math.abs(offset).toFixed(2)} stop ${side} than its exposure says: the light, a setting or the toning changed.`;
  }
  return `Its tones spread ${spread.toFixed(2)} stop about the curve of the others: it was toned by itself, or something moved.`;
}

function recover(
  opened: readonly Opened[],
  exposures: readonly number[],
  kept: readonly number[],
  channel: number,
): RecoveredResponse | null {
  const { transfer } = opened[0] as Opened;
  const places = bracketPlaces(
    kept.map((frame) => (opened[frame] as Opened).grid),
    channel,
  );
  if (places.filter((seen) => seen.length > 1).length < LEAST_PLACES) return null;
  return recoverResponse({
    places,
    exposures: kept.map((frame) => exposures[frame] as number),
    exposureError: EXPOSURE_ERROR,
    encodedStops: (code) => log2(transfer.linearise(code / 255)),
    middleCode: 255 * transfer.encode(MIDDLE_GREY),
    invert: invertMatrix,
  });
}

function refused(message: string): GraderError {
  return new GraderError("kit-refused", message);
}
