import { isManual } from "../judge/grade/settingsFall.ts";
import type { ReadResult } from "../model/result.ts";
import {
  CONTROLS,
  type Control,
  SAME_SETTING_STOPS,
  settingSpread,
  settingStops,
} from "./settingStops.ts";

/** Frames more than this apart, seconds, are assumed to belong to different exercises. Our own rule. */
const FARTHEST_SECONDS = 60;

/** A frame with its name in the set. */
export interface NamedRead {
  readonly id: string;
  readonly read: ReadResult;
}

/** Frames that look like one exercise, by their times and settings alone. */
export type FoundRelation =
  | {
      readonly kind: "bracket";
      readonly frames: readonly NamedRead[];
      readonly offsets: readonly number[];
      readonly varies: Control;
    }
  | { readonly kind: "equivalent"; readonly frames: readonly NamedRead[] }
  | { readonly kind: "recompose"; readonly frames: readonly NamedRead[] };

/**
 * Finds brackets, equivalents and recomposed pairs among frames, in the order of their times.
 *
 * A bracket is three or more frames in even steps of one control; equivalents reach the same exposure by different
 * settings; a recomposed pair has the same settings, set by hand. No frame is in more than one of them.
 */
export function findRelations(frames: readonly NamedRead[]): FoundRelation[] {
  const found: FoundRelation[] = [];
  for (const run of runsOf(frames)) {
    for (let start = 0; start < run.length - 1; ) {
      const relation = relationFrom(run.slice(start));
      if (relation) found.push(relation);
      start += relation ? relation.frames.length : 1;
    }
  }
  return found;
}

/** The longest relation that begins with the first of these frames. */
function relationFrom(run: readonly NamedRead[]): FoundRelation | null {
  for (let length = run.length; length >= 2; length--) {
    const frames = run.slice(0, length);
    const relation = bracketOf(frames) ?? equivalentOf(frames) ?? recomposedOf(frames);
    if (relation) return relation;
  }
  return null;
}

function bracketOf(frames: readonly NamedRead[]): FoundRelation | null {
  const varying = CONTROLS.filter((control) => spreadOf(frames, control) >= SAME_SETTING_STOPS);
  const [varies] = varying;
  if (frames.length < 3 || varies === undefined || varying.length > 1) return null;
  const given = frames.map(({ read }) => read.givenExposure as number);
  const sorted = [...given].sort((a, b) => a - b);
  const step = ((sorted.at(-1) as number) - (sorted[0] as number)) / (frames.length - 1);
  const even = sorted.every(
    (exposure, i) => Math.abs(exposure - (sorted[0] as number) - i * step) < SAME_SETTING_STOPS,
  );
  if (!even || step < SAME_SETTING_STOPS) return null;
  return {
    kind: "bracket",
    frames,
    offsets: given.map((exposure) => exposure - (given[0] as number)),
    varies,
  };
}

function equivalentOf(frames: readonly NamedRead[]): FoundRelation | null {
  const given = frames.map(({ read }) => read.givenExposure as number);
  if (Math.max(...given) - Math.min(...given) >= SAME_SETTING_STOPS) return null;
  const settings = new Set(
    frames.map(({ read }) =>
      CONTROLS.map((control) => settingStops(read, control)?.toFixed(1)).join(),
    ),
  );
  return settings.size === frames.length ? { kind: "equivalent", frames } : null;
}

function recomposedOf(frames: readonly NamedRead[]): FoundRelation | null {
  const byHand = frames.every(({ read }) => read.exposure && isManual(read.exposure));
  const kept = CONTROLS.every((control) => spreadOf(frames, control) < SAME_SETTING_STOPS);
  return frames.length === 2 && byHand && kept ? { kind: "recompose", frames } : null;
}

/** Frames of one camera in the order of their times, split at pauses; frames that record too little are left out. */
function runsOf(frames: readonly NamedRead[]): NamedRead[][] {
  const timed = frames
    .flatMap((frame) => {
      const seconds = secondsOf(frame.read);
      return seconds === null || frame.read.givenExposure === null ? [] : [{ frame, seconds }];
    })
    .sort((a, b) => a.seconds - b.seconds);
  const runs: NamedRead[][] = [];
  for (const [i, { frame, seconds }] of timed.entries()) {
    const before = timed[i - 1];
    const model = ({ read }: NamedRead): unknown => read.exposure?.model.value;
    const together =
      before &&
      seconds - before.seconds <= FARTHEST_SECONDS &&
      model(before.frame) === model(frame);
    if (together) runs.at(-1)?.push(frame);
    else runs.push([frame]);
  }
  return runs;
}

function secondsOf({ exposure }: ReadResult): number | null {
  const at = exposure?.capturedAt.value;
  if (!at) return null;
  // Only differences count, so a time without a zone may be read in any.
  const milliseconds = Date.parse(/(Z|[+-]\d\d:\d\d)$/.test(at) ? at : `${at}Z`);
  return Number.isNaN(milliseconds) ? null : milliseconds / 1000;
}

function spreadOf(frames: readonly NamedRead[], control: Control): number {
  return settingSpread(
    frames.map(({ read }) => read),
    control,
  );
}
