import {
  ERROR_BUDGET,
  log2,
  MIDDLE_GREY,
  median,
  type RecoveredResponse,
  recoverResponse,
  responseCurve,
} from "@tonefall/tone-core";
import type { Note } from "../model/note.ts";
import { agreementAbout } from "./agreementAbout.ts";
import type { BracketFrame, OpenedFrame } from "./bracketFrame.ts";
import { bracketPlaces } from "./bracketPlaces.ts";
import type { BlockGrid } from "./flatBlocks.ts";
import { invertMatrix } from "./invertMatrix.ts";
import { type Agreement, leaveOutStrays } from "./leaveOutStrays.ts";

/** Fewer frames than this cannot show that one of them is out of line. */
export const LEAST_FRAMES = 3;

/** A frame further from the curve than this, stops, does not fit. */
const LARGEST_RESIDUAL = 0.15;

/** A frame with fewer places than this cannot be compared. */
const LEAST_PLACES = 8;

/** Where more than this share of frames is out of line, the bracket itself is wrong. */
const LARGEST_SHARE_LEFT_OUT = 1 / 3;

/** Error of one frame's marked settings, stops: the budget's figure is of a pair. */
const EXPOSURE_ERROR: number = ERROR_BUDGET.response.settingsPair / Math.SQRT2;

/** What a search says of one frame. */
type FitOfFrame = Omit<BracketFrame, "file" | "exposure">;

/** A recovered curve, with an agreement for each frame that holds tones enough. */
interface FittedBracket extends RecoveredResponse {
  readonly agreements: readonly (Agreement | null)[];
}

/** The curve of a bracket's luminance, and what became of each frame. */
export interface BracketSearch {
  /** Null where the bracket is refused. */
  readonly response: RecoveredResponse | null;
  /** Why it is refused; null where it is not. */
  readonly refusal: Note | null;
  /** In the order of the files. */
  readonly frames: readonly FitOfFrame[];
}

/** Recovers the curve of luminance, and leaves out the frames that do not follow it. */
export function searchBracket(
  opened: readonly OpenedFrame[],
  exposures: readonly number[],
  channel: number,
): BracketSearch {
  const copies = copiesAmong(opened, exposures);
  const least = Math.ceil(opened.length * (1 - LARGEST_SHARE_LEFT_OUT));
  const { fit, kept, silent, agreements } = leaveOutStrays(
    [...opened.keys()].filter((frame) => !copies.has(frame)),
    (frames) => recoverChannel(opened, exposures, frames, channel),
    {
      largestResidual: LARGEST_RESIDUAL,
      // What holds no tone counts neither for nor against the bracket.
      fewest: (mute) => Math.max(LEAST_FRAMES, least - copies.size - mute),
    },
  );
  const fitOfFrame = (frame: number): FitOfFrame => {
    if (silent.has(frame)) return unheard(TOO_FEW_TONES);
    const agreement = agreements.get(frame);
    if (!agreement) return copies.get(frame) ?? unheard(NO_CURVE);
    if (agreement.residual > LARGEST_RESIDUAL) {
      return fit ? againstCurve(opened, exposures, kept, frame, fit.points) : leftOut(agreement);
    }
    const { residual, offset } = agreement;
    return { included: true, residual, offset, reason: null };
  };
  const frames = [...opened.keys()].map(fitOfFrame);
  return { response: fit, refusal: fit ? null : refusalOf(opened, frames), frames };
}

function refusalOf(opened: readonly OpenedFrame[], frames: readonly FitOfFrame[]): Note {
  const strays = opened.flatMap(({ row }, i) =>
    (frames[i]?.residual ?? 0) > LARGEST_RESIDUAL ? [row.file] : [],
  );
  const message =
    strays.length > 0
      ? `The frames do not follow one curve: ${strays.join(", ")} ${strays.length === 1 ? "is" : "are"} over ${LARGEST_RESIDUAL} stop off. The light, the toning, the camera's place or the order of the times may have changed; photograph the bracket again.`
      : "The frames share too few flat tones between black and white; take smaller steps of a scene with even surfaces.";
  return { code: "kit-refused", message };
}

/** Copies of earlier frames: counted as exposures of their own, they would make the error look too small. */
function copiesAmong(
  opened: readonly OpenedFrame[],
  exposures: readonly number[],
): Map<number, FitOfFrame> {
  const copies = new Map<number, FitOfFrame>();
  const firsts = new Map<string, string>();
  for (const [frame, { row, grid }] of opened.entries()) {
    const codes = grid.blocks.map((blocks) => blocks.map(({ code }) => code));
    const key = JSON.stringify([exposures[frame], codes]);
    const first = firsts.get(key);
    if (first === undefined) firsts.set(key, row.file);
    else {
      copies.set(frame, unheard(`It is a copy of ${first}.`));
    }
  }
  return copies;
}

/** Compares a frame that was left out with the curve of the others, which it no longer draws towards itself. */
function againstCurve(
  opened: readonly OpenedFrame[],
  exposures: readonly number[],
  kept: readonly number[],
  frame: number,
  points: RecoveredResponse["points"],
): FitOfFrame {
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
  if (deviations.length === 0) return unheard(NO_COMMON_TONE);
  return leftOut(agreementAbout(deviations, 0));
}

function unheard(reason: string): FitOfFrame {
  return { included: false, residual: null, offset: null, reason };
}

function leftOut({ residual, offset, spread }: Agreement): FitOfFrame {
  return { included: false, residual, offset, reason: reasonOf(offset, spread) };
}

const TOO_FEW_TONES =
  "It holds too few tones between black and white that another frame shows too.";
const NO_COMMON_TONE = "It shows no tone that the others show as well.";
const NO_CURVE = "There is no curve to compare it with.";

function reasonOf(offset: number, spread: number): string {
  if (Math.abs(offset) >= spread) {
    const side = offset > 0 ? "lighter" : "darker";
    return `It is ${Math.abs(offset).toFixed(2)} stop ${side} than its exposure says: the light, a setting or the toning changed.`;
  }
  return `Its tones spread ${spread.toFixed(2)} stop about the curve of the others: it was toned differently, or something moved.`;
}

/** The curve of one channel through the frames kept; null where too few places are seen twice. */
export function recoverChannel(
  opened: readonly OpenedFrame[],
  exposures: readonly number[],
  kept: readonly number[],
  channel: number,
): FittedBracket | null {
  const { transfer } = opened[0] as OpenedFrame;
  const places = bracketPlaces(
    kept.map((frame) => (opened[frame] as OpenedFrame).grid),
    channel,
  );
  if (places.filter((seen) => seen.length > 1).length < LEAST_PLACES) return null;
  const response = recoverResponse({
    places,
    exposures: kept.map((frame) => exposures[frame] as number),
    exposureError: EXPOSURE_ERROR,
    encodedStops: (code) => log2(transfer.linearise(code / 255)),
    middleCode: 255 * transfer.encode(MIDDLE_GREY),
    invert: invertMatrix,
  });
  const agreements = response.frames.map((frame) => (frame.places < LEAST_PLACES ? null : frame));
  return { ...response, agreements };
}
