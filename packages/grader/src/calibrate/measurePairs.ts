import {
  ERROR_BUDGET,
  exp2,
  hypot,
  log2,
  MIDDLE_GREY,
  median,
  type ResponseObservation,
  recoverResponse,
  responseCurve,
  SENSOR_MIDDLE_GREY,
} from "@tonefall/tone-core";
import type { CameraKit } from "../kit/kit.ts";
import { measuredFrom, oneKit } from "../kit/kitIdentity.ts";
import { GraderError } from "../model/errors.ts";
import type { Note } from "../model/note.ts";
import { requireSeveral } from "../model/requireSeveral.ts";
import { maybeSameShot, stemOf } from "../run/pairShots.ts";
import { agreementAbout } from "./agreementAbout.ts";
import { invertMatrix } from "./invertMatrix.ts";
import { type KitFrame, openKitFrame } from "./kitFrame.ts";
import { type Agreement, leaveOutStrays } from "./leaveOutStrays.ts";
import { LIGHT_STEP, type PairPlace, pairPlaces } from "./pairPlaces.ts";

/** One shot against the curve of all. */
export interface PairedShot {
  /** The rendered file. */
  readonly file: string;
  /** The raw file. */
  readonly raw: string;
  /** Whether the curve rests on it. */
  readonly included: boolean;
  /** How far its tones are from the curve of all, its own offset with them, stops; null where it holds too few. */
  readonly residual: number | null;
  /** How much lighter it was rendered than the others, stops of light; null with the residual. */
  readonly offset: number | null;
  /** Why it was left out; null where it was not. */
  readonly reason: string | null;
}

/** A kit measured from raw and rendered files of the same shots. */
export interface PairsResult {
  /** Null where the shots give none. */
  readonly kit: CameraKit | null;
  /** Why there is no kit; null where there is one. */
  readonly refusal: Note | null;
  /** One for each pair, in the order in which their files first come. */
  readonly frames: readonly PairedShot[];
}

/** A shot further from the others than this, stops, was toned by itself. */
const LARGEST_RESIDUAL = 0.15;

/** Shots with fewer flat tones than this cannot be compared. */
const LEAST_PLACES = 12;

/** Error of the light in one step of it: noise, and what lens corrections move, stops. Our judgement. */
const LIGHT_ERROR = 0.02;

/** Where more than this share of shots is out of line, there is no one curve. */
const LARGEST_SHARE_LEFT_OUT = 1 / 3;

/**
 * Learns a kit from shots kept both raw and rendered: the sensor gives the light of every tone in the rendering.
 *
 * The curve is that of luminance, over flat and nearly neutral places. Every part of a frame has an offset of its own, so
 * that lens corrections in the rendering do not bend the curve. The middle grey of the sensor is the share of saturation
 * that the rendering shows as 18 % of white.
 *
 * @param paths - files of shots, in any order; those without a partner are ignored
 * @throws {@link GraderError} `kit-mixed`, `kit-refused` when there is no pair, or what keeps a frame from being read
 */
export async function measurePairs(paths: readonly string[]): Promise<PairsResult> {
  requireSeveral(paths, "measurePairs");
  const shots: Shot[] = [];
  for (const group of grouped(paths)) {
    const shot = await openShot(group);
    if (shot) shots.push(shot);
  }
  const [first] = shots;
  if (!first) {
    throw new GraderError(
      "kit-refused",
      "Expected raw and rendered files of the same shots, side by side and of one name, but found no pair",
    );
  }
  const rows = shots.map(({ row }) => row);
  const identity = oneKit(rows);
  const comparable = shots.filter(({ places }) => places.length >= LEAST_PLACES);
  const enough = Math.max(1, Math.ceil(comparable.length * (1 - LARGEST_SHARE_LEFT_OUT)));
  const { fit, kept, strays, agreements } = leaveOutStrays(comparable, fitted, {
    largestResidual: LARGEST_RESIDUAL,
    fewest: () => enough,
  });
  const frames = shots.map((shot) => {
    const counted = strays.has(shot) || fit !== null;
    return shotResult(shot, counted ? agreements.get(shot) : undefined, strays.has(shot));
  });
  if (!fit) {
    const message =
      strays.size > 0
        ? `The shots do not follow one curve: ${[...strays].map(({ row }) => row.file).join(", ")} were toned differently.`
        : "The shots hold too few flat, neutral tones between black and white; add others.";
    return { kit: null, refusal: { code: "kit-refused", message }, frames };
  }
  const offsets = fit.agreements.map(({ offset }) => offset);
  const apart =
    offsets.length > 1
      ? hypot(...offsets) / Math.sqrt(offsets.length - 1)
      : ERROR_BUDGET.response.middleGrey;
  const used = kept.map(({ row }) => row);
  const { iso, frames: count, on } = measuredFrom(used);
  return {
    refusal: null,
    frames,
    kit: {
      schemaVersion: 1,
      ...identity,
      iso,
      middleGrey: {
        rendered: null,
        sensor: {
          shareOfSaturation: Math.min(0.999, SENSOR_MIDDLE_GREY * exp2(fit.middleLight)),
          uncertainty: hypot(ERROR_BUDGET.response.region, apart / Math.sqrt(offsets.length)),
        },
      },
      curve: { luminance: fit.points },
      uncertainty: fit.uncertainty,
      measured: { how: ["pairs"], frames: count, on },
    },
  };
}

interface Shot {
  readonly row: KitFrame["row"];
  readonly raw: string;
  readonly places: readonly PairPlace[];
  readonly encodedStops: (code: number) => number;
  readonly middleCode: number;
}

/** Files of one folder and stem. */
function grouped(paths: readonly string[]): readonly (readonly string[])[] {
  const groups = new Map<string, string[]>();
  for (const path of paths) {
    const stem = stemOf(path);
    groups.set(stem, [...(groups.get(stem) ?? []), path]);
  }
  return [...groups.values()].filter((group) => group.length === 2);
}

/** A raw and a rendered file as one shot; null where they are none. */
async function openShot(paths: readonly string[]): Promise<Shot | null> {
  const opened = await Promise.all(paths.map(openKitFrame));
  const raw = opened.find(({ frame }) => frame.basis === "scene");
  const rendered = opened.find(({ frame }) => frame.basis === "rendered");
  const transfer = rendered?.frame.transfer;
  if (!raw || !rendered || !transfer || !maybeSameShot(raw.row, rendered.row)) return null;
  return {
    row: rendered.row,
    raw: raw.row.file,
    places: pairPlaces(raw.frame, rendered.frame),
    encodedStops: (code) => log2(transfer.linearise(code / 255)),
    middleCode: 255 * transfer.encode(MIDDLE_GREY),
  };
}

interface Fit {
  readonly points: ReturnType<typeof recoverResponse>["points"];
  readonly uncertainty: number;
  /** Light that is rendered as the curve's middle, stops from the sensor's default middle grey. */
  readonly middleLight: number;
  /** In the order of the shots. */
  readonly agreements: readonly Agreement[];
}

/** The curve through the tones of shots: steps of light stand for the frames of a bracket, parts of shots for its places. */
function fitted(shots: readonly Shot[]): Fit | null {
  const [first] = shots;
  if (!first) return null;
  const steps = [...new Set(shots.flatMap(({ places }) => places.map(({ step }) => step)))].sort(
    (a, b) => a - b,
  );
  const frameOf = new Map(steps.map((step, frame) => [step, frame]));
  const parts = shots.flatMap(({ places }) => {
    const byPart = new Map<number, ResponseObservation[]>();
    for (const { part, step, code, codeError } of places) {
      const list = byPart.get(part) ?? [];
      byPart.set(part, [...list, { frame: frameOf.get(step) as number, code, codeError }]);
    }
    return [...byPart.values()];
  });
  if (parts.filter((seen) => seen.length > 1).length < 8 || steps.length < 3) return null;
  const { points, uncertainty } = recoverResponse({
    places: parts,
    exposures: steps.map((step) => step * LIGHT_STEP),
    exposureError: LIGHT_ERROR,
    encodedStops: first.encodedStops,
    middleCode: first.middleCode,
    invert: invertMatrix,
  });
  const { stopsAt } = responseCurve(points);
  const lifts = shots.map(({ places }) =>
    places.map(({ step, code }) => stopsAt(code) - step * LIGHT_STEP),
  );
  const common = median(lifts.map(median));
  const agreements = lifts.map((lift) => agreementAbout(lift, common));
  return { points, uncertainty, middleLight: -common, agreements };
}

function shotResult(
  { row, raw }: Shot,
  agreement: Agreement | undefined,
  stray: boolean,
): PairedShot {
  const { residual = null, offset = null } = agreement ?? {};
  return {
    file: row.file,
    raw,
    included: agreement !== undefined && !stray,
    residual,
    offset,
    reason: reasonOf(agreement, stray),
  };
}

function reasonOf(agreement: Agreement | undefined, stray: boolean): string | null {
  if (!agreement) return "It holds too few flat, neutral tones between black and white.";
  if (!stray) return null;
  return `It lies ${agreement.residual.toFixed(2)} stop from the curve of the others: it was toned differently.`;
}
