import {
  ERROR_BUDGET,
  exp2,
  hypot,
  log2,
  MIDDLE_GREY,
  type Region,
  type ResponseCurve,
  responseCurve,
  SENSOR_MIDDLE_GREY,
  SRGB,
  squared,
} from "@tonefall/tone-core";
import { type Brief, readyBrief } from "../brief/brief.ts";
import { boundOf } from "../judge/grade/fallOf.ts";
import { isManual } from "../judge/grade/settingsFall.ts";
import { measureFrame } from "../judge/measure/measureFrame.ts";
import { subjectRegion } from "../judge/measure/subjectRegion.ts";
import { type CameraKit, kitPoints } from "../kit/kit.ts";
import { differenceText, kitDifference, measuredFrom, oneKit } from "../kit/kitIdentity.ts";
import { GraderError } from "../model/errors.ts";
import type { Note } from "../model/note.ts";
import { requireSeveral } from "../model/requireSeveral.ts";
import type { Exposure } from "../model/result.ts";
import type { Frame, FrameBasis } from "../picture/frame.ts";
import { evenness } from "./evenness.ts";
import { type KitFrame, openKitFrame } from "./kitFrame.ts";

/** How a card is measured. */
export interface CardOptions {
  /**
   * Reflectance of the card, in (0, 1].
   * @default 0.18
   */
  readonly reflectance?: number;
  /**
   * Where the card is, as a brief's region.
   * @default "whole"
   */
  readonly region?: Brief["region"];
  /** A kit of the same camera and style to complete; its curve turns the card's code into light. */
  readonly kit?: CameraKit;
}

/** One frame of a card. */
export interface CardFrame {
  /** The path as given, with forward slashes. */
  readonly file: string;
  /** Whether the kit rests on it. */
  readonly included: boolean;
  /** Whether it was measured on sensor values or on a rendering. */
  readonly basis: FrameBasis;
  /** Where the card fell, stops from 18 % of display white, or of saturation from the default middle grey. */
  readonly fall: number;
  /** Where a middle grey would have fallen in this frame, on the same scale. */
  readonly middleGrey: number;
  /** By how many stops of light the camera departed from what its meter asks for; null where that is not known. */
  readonly departure: number | null;
  /** How far above middle grey the card was meant to lie, stops of light. */
  readonly shift: number;
  /** How much the light changes across the card, edge to edge, stops. */
  readonly tilt: number;
  /** Between the lightest and the darkest ninth of the card, stops. */
  readonly range: number;
  /** Why it was left out; null where it was not. */
  readonly reason: string | null;
}

/** What the frames of a card show together. */
export interface CardResult {
  /** Null where the frames were refused. */
  readonly kit: CameraKit | null;
  /** Why there is no kit; null where there is one. */
  readonly refusal: Note | null;
  /** In the order of the files. */
  readonly frames: readonly CardFrame[];
  /** Standard deviation of middle grey from frame to frame, stops; null of a single frame. */
  readonly agreement: number | null;
  /** Mean departure from the meter, stops; null where no frame shows it. */
  readonly departure: number | null;
}

/** A card whose light changes by this much from edge to edge is tilted, or unevenly lit. */
const LARGEST_TILT = 0.25;

/** Where parts are further apart than this, the region holds more than the card. */
const LARGEST_RANGE = 0.5;

/** Where frames differ by more than this (standard deviation), they were not taken in the same way. */
const LARGEST_DISAGREEMENT = 0.3;

/** How far a stop of exposure may differ from one rendered stop where the curve is not known. Our judgement. */
const UNKNOWN_CONTRAST = 0.3;

/** Common cards keep their stated reflectance within a twentieth: common practice, no source. */
const CARD_ERROR = 0.07;

/** The card in a frame, and through which curve its light is seen. */
interface CardInFrame {
  readonly reflectance: number;
  readonly region: NonNullable<CardOptions["region"]>;
  readonly curve: ResponseCurve | null;
}

/**
 * Measures where a kit puts middle grey, from frames of a card of known reflectance.
 *
 * A meter renders whatever it reads as middle grey. Where the camera set the exposure by the card, middle grey lies where
 * the card fell less the compensation, whatever the card's reflectance; where somebody else set it, the card lies as far
 * from middle grey as its reflectance says. The one that the card's fall is nearer to decides which of the two it was.
 *
 * @param paths - frames of the card by one camera in one style
 * @throws {@link GraderError} `no-frames` without a path, `kit-mixed`, `bad-region`, `bad-option` or what keeps a frame
 *   from being read
 */
export async function measureCard(
  paths: readonly string[],
  options: CardOptions = {},
): Promise<CardResult> {
  requireSeveral(paths, "measureCard");
  const { reflectance = MIDDLE_GREY, region = "whole", kit } = options;
  if (!(reflectance > 0 && reflectance <= 1)) {
    throw new GraderError(
      "bad-option",
      `Expected a reflectance above 0 and up to 1, such as 0.18 or 90%, but received ${reflectance}`,
    );
  }
  const curve = kit?.curve ? responseCurve(kitPoints(kit.curve.luminance)) : null;
  const { rows, frames, encode } = await measuredFrames(paths, { reflectance, region, curve });
  const identity = oneKit(rows);
  const difference = kit ? kitDifference(kit, identity) : null;
  if (difference) {
    throw new GraderError(
      "kit-mixed",
      `Expected frames of the kit's style but they have ${differenceText(difference)}`,
    );
  }
  const included = frames.filter((frame) => frame.included);
  const departures = included.flatMap(({ departure }) => departure ?? []);
  const agreed = {
    frames,
    agreement: disagreement(included),
    departure: departures.length > 0 ? mean(departures) : null,
  };
  const refusal = refusalOf(agreed);
  if (refusal) return { ...agreed, kit: null, refusal };
  const from = measuredFrom(rows.filter((_, i) => frames[i]?.included));
  return {
    ...agreed,
    refusal: null,
    kit: {
      schemaVersion: 1,
      ...(kit ? { camera: kit.camera, style: kit.style, software: kit.software } : identity),
      iso: kit?.iso ?? from.iso,
      middleGrey: middleGreys(included, kit, encode),
      curve: kit?.curve ?? null,
      uncertainty: kit?.uncertainty ?? null,
      measured: {
        ...kit?.measured,
        how: [...new Set([...(kit?.measured.how ?? []), "card" as const])],
        frames: (kit?.measured.frames ?? 0) + included.length,
        on: from.on ?? kit?.measured.on ?? null,
      },
    },
  };
}

/** The card in every frame, and how the last rendered one encodes light. */
async function measuredFrames(
  paths: readonly string[],
  { reflectance, region, curve }: CardInFrame,
): Promise<{ rows: KitFrame["row"][]; frames: CardFrame[]; encode: (light: number) => number }> {
  const wanted = readyBrief({ region });
  const rows: KitFrame["row"][] = [];
  const frames: CardFrame[] = [];
  let encode = SRGB.encode;
  for (const path of paths) {
    const { row, frame } = await openKitFrame(path);
    const place = wanted.region ?? subjectRegion(row.exposure, frame);
    rows.push(row);
    frames.push(measureOne({ row, frame }, place, reflectance, curve));
    if (frame.transfer) encode = frame.transfer.encode;
  }
  return { rows, frames, encode };
}

/** Where the frames put middle grey, rendered and on the sensor; what they do not show stays as the kit has it. */
function middleGreys(
  included: readonly CardFrame[],
  kit: CameraKit | undefined,
  encode: (light: number) => number,
): NonNullable<CameraKit["middleGrey"]> {
  const middleOf = (basis: Frame["basis"]): Middle | null => {
    const own = included.filter((frame) => frame.basis === basis);
    const hasCurve = basis === "rendered" && Boolean(kit?.curve);
    return own.length === 0 ? null : middleGreyOf(own, hasCurve);
  };
  const rendered = middleOf("rendered");
  const sensor = middleOf("scene");
  return {
    rendered: rendered
      ? { code: 255 * encode(Math.min(1, MIDDLE_GREY * exp2(rendered.stops))), ...rendered }
      : (kit?.middleGrey?.rendered ?? null),
    sensor: sensor
      ? {
          shareOfSaturation: Math.min(0.999, SENSOR_MIDDLE_GREY * exp2(sensor.stops)),
          uncertainty: sensor.uncertainty,
        }
      : (kit?.middleGrey?.sensor ?? null),
  };
}

function refusalOf({ frames, agreement }: Pick<CardResult, "frames" | "agreement">): Note | null {
  const code = "kit-refused";
  if (frames.every(({ included }) => !included)) {
    return { code, message: frames[0]?.reason ?? "There is no frame to measure." };
  }
  if (agreement === null || agreement <= LARGEST_DISAGREEMENT) return null;
  return {
    code,
    message: `The frames put middle grey ${agreement.toFixed(2)} stop apart (one standard deviation); the light, the exposure or the style changed between them.`,
  };
}

/** A measured frame of a card, with the reason where it cannot be used. */
function measureOne(
  { row, frame }: KitFrame,
  region: Region,
  reflectance: number,
  curve: ResponseCurve | null,
): CardFrame {
  const { statistics } = measureFrame(frame, region, { histograms: false });
  const fall = log2(Math.max(statistics.mean, Number.MIN_VALUE) / frame.middleGrey);
  const { tilt, range } = evenness(frame, region);
  const { shift, departure } = aimed(row.exposure, fall, reflectance);
  const sensor = frame.basis === "scene";
  const middleGrey = sensor || !curve ? fall - shift : alongCurve(frame, curve, fall, shift);
  const bound = boundOf(statistics);
  const reason =
    bound !== null
      ? `${row.file}: the card is ${bound === "at least" ? "clipped" : "black"}; expose it so that it keeps its tone.`
      : tilt >= LARGEST_TILT
        ? `${row.file}: the light changes by ${tilt.toFixed(2)} stop across the card, more than ${LARGEST_TILT}; turn the card square to the light, or choose a smaller region.`
        : range >= LARGEST_RANGE
          ? `${row.file}: parts of the region are ${range.toFixed(2)} stop apart; choose a region that holds the card alone.`
          : null;
  return {
    file: row.file,
    included: reason === null,
    basis: frame.basis,
    fall,
    middleGrey: sensor ? middleGrey + log2(frame.middleGrey / SENSOR_MIDDLE_GREY) : middleGrey,
    departure,
    shift,
    tilt,
    range,
    reason,
  };
}

/** How far above middle grey the card was meant to lie, and how far the camera departed from its meter. */
function aimed(
  exposure: Exposure,
  fall: number,
  reflectance: number,
): { readonly shift: number; readonly departure: number | null } {
  const byReflectance = log2(reflectance / MIDDLE_GREY);
  const { compensation, mode, programme } = exposure;
  const known = mode.value !== null || programme.value !== null;
  const added = compensation.exact ?? compensation.value;
  if (!known || isManual(exposure) || added === null)
    return { shift: byReflectance, departure: null };
  const metered = Math.abs(fall - added) <= Math.abs(fall - byReflectance);
  return metered
    ? { shift: added, departure: fall - added }
    : { shift: byReflectance, departure: null };
}

/** The fall of a tone that many stops of light below a measured one, by a kit's curve. */
function alongCurve(
  { transfer }: Pick<Frame, "transfer">,
  curve: ResponseCurve,
  fall: number,
  shift: number,
): number {
  if (!transfer) return fall - shift;
  const code = 255 * transfer.encode(Math.min(1, MIDDLE_GREY * exp2(fall)));
  const below = curve.codeAt(curve.stopsAt(code) - shift);
  return log2(transfer.linearise(below / 255) / MIDDLE_GREY);
}

interface Middle {
  readonly stops: number;
  readonly uncertainty: number;
}

/** Middle grey over frames, and how well it is known: by region, card, evenness, agreement and the unknown curve. */
function middleGreyOf(frames: readonly CardFrame[], throughCurve: boolean): Middle {
  const unknown = throughCurve || frames[0]?.basis === "scene" ? 0 : UNKNOWN_CONTRAST;
  const shift = mean(frames.map((frame) => Math.abs(frame.shift)));
  const tilt = mean(frames.map((frame) => frame.tilt));
  // A single frame cannot show how metering varies from shot to shot, so the error budget's figure is used.
  const apart = disagreement(frames) ?? ERROR_BUDGET.card.middleGrey;
  return {
    stops: mean(frames.map(({ middleGrey }) => middleGrey)),
    uncertainty: hypot(
      ERROR_BUDGET.card.region,
      CARD_ERROR,
      tilt / Math.sqrt(12),
      apart / Math.sqrt(frames.length),
      unknown * shift,
    ),
  };
}

/** Standard deviation of middle grey from frame to frame, each basis about its own mean; null where there is one of each. */
function disagreement(frames: readonly CardFrame[]): number | null {
  const deviations = (["rendered", "scene"] as const).flatMap((basis) => {
    const own = frames.filter((frame) => frame.basis === basis).map(({ middleGrey }) => middleGrey);
    return own.length < 2
      ? []
      : own.map((value) => (value - mean(own)) * Math.sqrt(own.length / (own.length - 1)));
  });
  return deviations.length === 0
    ? null
    : Math.sqrt(mean(deviations.map((value) => squared(value))));
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
