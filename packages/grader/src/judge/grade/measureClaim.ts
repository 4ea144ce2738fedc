import {
  type Region,
  type RegionStatistics,
  regionText,
  SHOULDER_STOPS,
  sceneLight,
} from "@tonefall/tone-core";
import type { ReadyBrief } from "../../brief/brief.ts";
import type { Note } from "../../model/note.ts";
import type { Precision } from "../../model/precision.ts";
import type { Basis, Exposure, Fall, FrameResult } from "../../model/result.ts";
import type { Frame } from "../../picture/frame.ts";
import { type Measurement, measureFrame } from "../measure/measureFrame.ts";
import { sensorReading } from "../measure/sensorReading.ts";
import { taggedRegion } from "../measure/taggedRegion.ts";
import { defaultTolerance } from "./defaultTolerance.ts";
import { fallOf } from "./fallOf.ts";
import {
  fallUncertainty,
  type MeasuredKit,
  type Uncertainty,
  withSampling,
} from "./fallUncertainty.ts";
import { frameNotes } from "./frameNotes.ts";
import { knownFall } from "./knownFall.ts";
import { type KnownKit, kitUncertainty, kitUse, reachesBeyond } from "./knownKit.ts";
import { pictureOf } from "./pictureOf.ts";

/** A frame to judge, and what is known of it beside its pixels. */
export interface ShownFrame {
  /** As decoded, or with its codes turned into light by its kit. */
  readonly frame: Frame;
  /** The kit that supports a claim on the frame; null where none does. */
  readonly kit: KnownKit | null;
  /** What the choice of the kit adds to the row's notes. */
  readonly kitNotes: readonly Note[];
}

/** How a frame is measured. */
export interface MeasureOptions {
  readonly histograms: boolean;
  readonly precision: Precision;
}

/** A frame measured against its brief, and not yet judged. */
export interface MeasuredClaim {
  /** With all that was measured; without error, verdict and metering. */
  readonly row: FrameResult;
  readonly frame: Frame;
  /** In fractions of the upright picture. */
  readonly region: Region;
  /** Share of the region beyond the end of the scale that the fall's bound speaks of. */
  readonly censoredShare: number;
}

/**
 * Measures the tone of a brief's region: where it fell, how well that is known, and what a reader should know of it.
 *
 * @param row - of the frame, as its record was read
 * @param exposure - of the row
 * @param brief - of the frame, its own keywords included; for pixels, not for settings alone
 * @throws {@link GraderError} where the region is empty, or the file describes none by the brief's name
 */
export function measureClaim(
  row: FrameResult,
  shown: ShownFrame,
  { exposure, brief }: { readonly exposure: Exposure; readonly brief: ReadyBrief },
  options: MeasureOptions,
): MeasuredClaim {
  const { frame, kit } = shown;
  const { region, note } = regionOf(brief, exposure, frame);
  const measurement = measureFrame(frame, region, options);
  const { statistics, histograms, pixels, sampling } = measurement;
  const claim = claimedFall(shown, brief, statistics);
  const { basis, fall } = claim;
  const known = kit && kitUncertainty(kit, fall);
  return {
    row: {
      ...row,
      basis,
      picture: pictureOf(frame),
      region: regionText(region),
      pixels,
      tolerance: brief.tolerance ?? kit?.tolerance ?? defaultTolerance(basis, frame.basis),
      fall: knownFall(fall, claimUncertainty(claim, frame, known, measurement)),
      clipped: statistics.clipped,
      crushed: statistics.crushed,
      sampling,
      notes: [
        ...row.notes,
        ...(note ? [note] : []),
        ...claimNotes(shown, claim, { statistics, brief, exposure }),
        ...(options.precision === "quick" && !frame.sampledFrom ? [DECODED_WHOLE] : []),
        ...(brief.basis === "rendered" && frame.basis === "scene" ? [RAW_HAS_NO_RENDERING] : []),
      ],
      ...(histograms ? { histograms } : {}),
      sensor: sensorReading(frame, region, options, known?.middleGrey),
      ...(kit && known ? { kit: kitUse(kit, known) } : {}),
    },
    frame,
    region,
    censoredShare: censoredShare(claim, statistics),
  };
}

function regionOf(
  { region, regionText }: ReadyBrief,
  exposure: Exposure,
  frame: Frame,
): { readonly region: Region; readonly note: Note | null } {
  return region ? { region, note: null } : taggedRegion(regionText, exposure, frame);
}

/** A tone's fall as a brief's claim takes it. */
interface ClaimedFall {
  readonly basis: Basis;
  /** Whether light is claimed of a rendering whose curve nobody measured. */
  readonly guessed: boolean;
  /** In the frame's own stops. */
  readonly measured: Fall;
  /** In the claim's stops. */
  readonly fall: Fall;
}

function claimedFall(
  { frame, kit }: ShownFrame,
  brief: ReadyBrief,
  statistics: RegionStatistics,
): ClaimedFall {
  const basis = basisOf(frame, kit, brief);
  const guessed = basis === "scene" && frame.basis === "rendered" && !kit?.curve;
  const measured = fallOf(statistics, frame);
  return { basis, guessed, measured, fall: guessed ? sceneFall(measured) : measured };
}

/**
 * A rendered picture's fall as a claim about the scene: the light that renderings show as such tones. It supports a
 * direction; its size is as uncertain as the curve, and on the curve's shoulder it is a bound.
 */
function sceneFall({ stops, median, p5, p95, bound }: Fall): Fall {
  const light = sceneLight(stops);
  return {
    stops: light.stops,
    median: sceneLight(median).stops,
    p5: sceneLight(p5).stops,
    p95: sceneLight(p95).stops,
    bound: bound ?? light.bound,
  };
}

/** A raw file has no rendering: whatever the brief asks for, its stops are stops on the sensor. */
function basisOf(frame: Frame, kit: KnownKit | null, brief: ReadyBrief): Basis {
  if (frame.basis === "scene") return "scene";
  return brief.basis ?? (kit ? "scene" : "rendered");
}

function claimUncertainty(
  { basis, fall }: ClaimedFall,
  frame: Frame,
  kit: MeasuredKit | null,
  { pixels, sampling }: Measurement,
): Uncertainty {
  const whole = fallUncertainty(fall, basis, frame, kit);
  return sampling?.precision === "quick" ? withSampling(whole, pixels) : whole;
}

function claimNotes(
  { frame, kit, kitNotes }: ShownFrame,
  { basis, guessed, measured, fall }: ClaimedFall,
  known: {
    readonly statistics: RegionStatistics;
    readonly brief: ReadyBrief;
    readonly exposure: Exposure;
  },
): Note[] {
  const { statistics, exposure, brief } = known;
  const { placement } = brief;
  const byCurve = kit?.curve != null;
  return [
    ...frame.notes,
    ...frameNotes({ frame, statistics, fall: measured, placement, basis, exposure, byCurve }),
    ...(guessed && measured.stops > SHOULDER_STOPS ? [ON_THE_SHOULDER] : []),
    ...kitNotes,
    ...(kit?.curve && reachesBeyond(kit.curve, fall) ? [BEYOND_MEASURED] : []),
  ];
}

function censoredShare(
  { guessed, measured, fall }: ClaimedFall,
  { clipped, crushed }: RegionStatistics,
): number {
  if (guessed && measured.median > SHOULDER_STOPS) return 1;
  return fall.bound === "at most" ? crushed.share : clipped.share;
}

const ON_THE_SHOULDER: Note = {
  code: "scene-light-is-bound",
  message:
    "The tone lies where tone curves flatten, so the picture shows only the least light that it can have had.",
};

const BEYOND_MEASURED: Note = {
  code: "beyond-measured-curve",
  message: "Part of the region is darker or lighter than the tones that the kit was measured with.",
};

const DECODED_WHOLE: Note = {
  code: "quick-not-used",
  message:
    "Only JPEGs of 4 megapixels and more are decoded quickly; this picture was decoded in full, at standard precision.",
};

const RAW_HAS_NO_RENDERING: Note = {
  code: "raw-has-no-rendering",
  message:
    "The brief asks for a rendered claim, but a raw file has no rendering; it is graded on the scene basis.",
};
