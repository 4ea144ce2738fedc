import { brightnessResidual } from "@tonefall/tone-core";
import { decidedError } from "../../model/decidedError.ts";
import type { BoundedStops, SplitMode } from "../../model/metering.ts";
import type { Exposure, FrameResult } from "../../model/result.ts";
import { splitMiss } from "../metering/splitMiss.ts";

/** A graded row as the cause finder takes it: what it adds itself is not needed. */
export type CauseRow = Omit<FrameResult, "causes" | "next" | "feedback">;

/** What the meter saw, as far as it is known. */
export interface MeterView extends BoundedStops {
  /** Whether the weighting is an estimate. */
  readonly estimate: boolean;
}

/** The facts of a missed row that causes are found from. */
export interface CauseFacts {
  readonly row: CauseRow;
  readonly exposure: Exposure;
  /** 1 where the tone fell too light, -1 where too dark. */
  readonly side: 1 | -1;
  /** Signed miss on the row's basis, stops. */
  readonly miss: number;
  /** Where the tone fell that missed, stops on the row's basis. */
  readonly shown: number;
  readonly mode: SplitMode;
  /** Compensation that was set, exact; null where the file does not say. */
  readonly compensation: number | null;
  /** What the recorded pattern reads in the picture; null where it cannot be laid over it. */
  readonly meter: MeterView | null;
  /** What the settings give beyond what the recorded brightness asks for; null where none is recorded. */
  readonly givenBeyondBrightness: number | null;
}

/** Gathers the facts of a row; null where it did not miss, or has no record. */
export function causeFacts(row: CauseRow): CauseFacts | null {
  const { exposure, verdict, error, fall } = row;
  if (!exposure || !error || !fall || (verdict !== "over" && verdict !== "under")) return null;
  const side = verdict === "over" ? 1 : -1;
  const { mode, compensationStops } =
    row.split ??
    splitMiss({
      exposure,
      reading: null,
      error: decidedError(error),
    });
  return {
    row,
    exposure,
    side,
    // Of the figure that decided: its side is the verdict's.
    miss: decidedError(error).stops,
    shown: error.decidedBy === "median" ? fall.median : fall.stops,
    mode,
    compensation: compensationStops,
    meter: meterView(row),
    givenBeyondBrightness: givenBeyondBrightness(exposure),
  };
}

function meterView({ basis, split, fall }: CauseRow): MeterView | null {
  // A claim on settings speaks of whatever the meter looked at.
  if (basis === "settings") return fall && { stops: fall.stops, bound: null, estimate: false };
  return split?.reading ?? null;
}

function givenBeyondBrightness(exposure: Exposure): number | null {
  const { brightnessValue, aperture, shutter, iso } = exposure;
  const N = aperture.exact ?? aperture.value;
  const t = shutter.exact ?? shutter.value;
  const S = iso.exact ?? iso.value;
  if (brightnessValue.value === null || N === null || t === null || S === null) return null;
  return brightnessResidual(brightnessValue.value, { aperture: N, shutterSeconds: t, iso: S });
}
