import type { BoundedStops, MissSplit, Reading, SplitMode } from "../../model/metering.ts";
import type { Note, NoteCode } from "../../model/note.ts";
import type { Exposure } from "../../model/result.ts";
import { isManual } from "../grade/settingsFall.ts";
import { boundedDifference, exactly } from "./boundedStops.ts";

/**
 * Takes a miss apart: what the meter did, and how far the tone is from where it belongs. A frame can be both "exactly as
 * metered" and "two stops under"; that is the lesson.
 *
 * With reading M, compensation C and error E: the camera departed from its meter by M - C, and C - E would have placed
 * the tone right, both in automatic modes; in manual, where compensation does nothing at a fixed ISO, M is where the needle
 * stood. What clipping hides gives bounds. See {@link MissSplit} for what a camera's curve does to the sizes.
 *
 * @param miss - `reading`: of the recorded pattern, null where it cannot be simulated; `error`: fall minus placement;
 *   `spotPlaced`: whether somebody said where the spot was, since the file never does
 *
 * @example
 * ```ts
 * // aperture priority at -1: the meter was followed, and -1 2/3 would have placed the tone right
 * splitMiss({ exposure, reading, error: { stops: 0.67, bound: null } }).wantedCompensationStops;
 * // => { stops: -1.67, bound: null }
 * ```
 */
export function splitMiss({
  exposure,
  reading,
  error,
  spotPlaced = false,
}: {
  readonly exposure: Exposure;
  readonly reading: Reading | null;
  readonly error: BoundedStops;
  readonly spotPlaced?: boolean;
}): MissSplit {
  const mode = modeOf(exposure);
  const compensation = exposure.compensation.exact ?? exposure.compensation.value;
  const obeyed = mode === "auto" && compensation !== null ? exactly(compensation) : null;
  const seen = reading && { stops: reading.stops, bound: reading.bound };
  return {
    reading,
    recordedPattern: exposure.meteringPattern.value,
    mode,
    compensationStops: compensation,
    departureStops: seen && obeyed && boundedDifference(seen, obeyed),
    needleStops: mode === "manual" ? seen : null,
    wantedCompensationStops: obeyed && boundedDifference(obeyed, error),
    notes: splitNotes(reading, mode, compensation, spotPlaced),
  };
}

function modeOf(exposure: Exposure): SplitMode {
  const { mode, programme } = exposure;
  if (isManual(exposure)) return "manual";
  const said = mode.value ?? programme.value;
  return said === null || said === "not-defined" ? "unknown" : "auto";
}

function splitNotes(
  reading: Reading | null,
  mode: SplitMode,
  compensation: number | null,
  spotPlaced: boolean,
): readonly Note[] {
  const notes: Note[] = [];
  const say = (code: NoteCode, message: string): void => {
    notes.push({ code, message });
  };
  if (!reading) {
    say(
      "pattern-not-simulated",
      "Nobody can tell what the camera's meter saw: its pattern cannot be laid over the picture.",
    );
  }
  if (reading?.pattern === "spot" && !spotPlaced) {
    say(
      "spot-place-unknown",
      "The file does not say where the spot was; this reading takes it at the centre.",
    );
  }
  if (reading?.estimate) {
    say(
      "pattern-estimated",
      "Makers do not publish how multi-segment metering weighs the picture, so this reading is an estimate.",
    );
  }
  if (mode === "unknown") {
    say("mode-unknown", "The file does not say whether the camera set the exposure.");
  }
  if (mode === "auto" && compensation === null) {
    say(
      "no-compensation",
      "The file records no compensation, so what the camera aimed at is not known.",
    );
  }
  if (mode === "manual" && compensation) {
    say(
      "compensation-in-manual",
      "Compensation was set, but in manual at a fixed ISO it does nothing.",
    );
  }
  return notes;
}
