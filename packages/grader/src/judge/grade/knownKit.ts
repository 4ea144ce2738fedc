import { errorUncertainty, type ResponsePoint, responseCurve } from "@tonefall/tone-core";
import type { Fall, KitUse } from "../../model/result.ts";
import type { MeasuredKit } from "./fallUncertainty.ts";

/** What a measured kit says of one frame, as plain data. */
export interface KnownKit {
  /** The kit file. */
  readonly file: string;
  /** What of the kit is used. */
  readonly used: KitUse["used"];
  /** One standard deviation of where middle grey lies, stops. */
  readonly middleGrey: number;
  /** The curve that turned the frame's codes into light; null where none did. */
  readonly curve: KnownCurve | null;
  /** Tolerance of a claim whose brief gives none, stops. */
  readonly tolerance: number;
}

/** A measured curve. */
export interface KnownCurve {
  readonly points: readonly ResponsePoint[];
  /** Where middle grey lies on the curve, stops from the curve's own middle. */
  readonly middle: number;
}

/** What a kit leaves uncertain where a tone fell. */
export function kitUncertainty(kit: KnownKit, fall: Fall): MeasuredKit {
  return { middleGrey: kit.middleGrey, curve: curveUncertainty(kit, fall.stops) };
}

/** A kit as a row names it. */
export function kitUse({ file, used }: KnownKit, { middleGrey, curve }: MeasuredKit): KitUse {
  return { file, used, middleGreyUncertainty: middleGrey, curveUncertainty: curve };
}

/** Whether a region holds tones that the kit's curve was not measured with. */
export function reachesBeyond({ points, middle }: KnownCurve, { p5, p95 }: Fall): boolean {
  const { codeAt, from, to } = responseCurve(points);
  return [p5, p95]
    .map((stops) => codeAt(stops + middle))
    .some((code) => !(code >= from && code <= to));
}

function curveUncertainty({ used, curve }: KnownKit, stops: number): number {
  if (curve) {
    const { uncertaintyAt, codeAt } = responseCurve(curve.points);
    return uncertaintyAt(codeAt(stops + curve.middle));
  }
  // A sensor's values need no curve. A card shows where middle grey lies and nothing of the curve.
  if (used === "sensor-middle-grey") return 0;
  return errorUncertainty({ kit: "unknown-jpeg", stopsFromMiddle: stops }).parts.curve;
}
