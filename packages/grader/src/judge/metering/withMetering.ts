import { sceneLight } from "@tonefall/tone-core";
import { decidedError } from "../../model/decidedError.ts";
import type { MissSplit, Reading } from "../../model/metering.ts";
import type { FrameResult } from "../../model/result.ts";
import type { Frame } from "../../picture/frame.ts";
import { showsLight } from "../grade/showsLight.ts";
import type { SpotSettings } from "./meterZones.ts";
import {
  type ReadingOptions,
  readPattern,
  SIMULATED_PATTERNS,
  simulatedPattern,
} from "./readPattern.ts";
import { splitMiss } from "./splitMiss.ts";

/**
 * A graded row with what its meter did: the split of its miss, where it has one and its recorded pattern can be
 * simulated; and, when asked, what every pattern reads.
 *
 * @param row - measured on the frame
 * @param spot - where the spot of the readings lies; null leaves the readings out
 */
export function withMetering(
  row: FrameResult,
  frame: Frame,
  spot: SpotSettings | null,
): FrameResult {
  const guessed = row.basis === "scene" && !showsLight(row);
  const options = {
    fall: row.fall && { stops: row.fall.stops, bound: row.fall.bound },
    ...(guessed ? { onBasis: sceneLight } : {}),
  };
  const split = splitOf(row, frame, { ...options, ...spot });
  if (!spot) return { ...row, split };
  const readings = SIMULATED_PATTERNS.map((pattern) =>
    readPattern(frame, pattern, { ...options, ...spot }),
  ).filter((reading): reading is Reading => reading !== null);
  return { ...row, split, readings };
}

function splitOf(row: FrameResult, frame: Frame, options: ReadingOptions): MissSplit | null {
  const { exposure, error } = row;
  const pattern = exposure && simulatedPattern(exposure.meteringPattern.value);
  if (!exposure || !error || !pattern) return null;
  return splitMiss({
    exposure,
    reading: readPattern(frame, pattern, options),
    error: decidedError(error),
    spotPlaced: options.spot !== undefined,
  });
}
