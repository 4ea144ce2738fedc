/**
 * Matchers for Vitest, for tests of tools that make or judge pictures.
 *
 * @packageDocumentation
 */
import { parsePlacement } from "@tonefall/tone-core";
import { expect } from "vitest";
import { readyBrief } from "./brief/brief.ts";
import { defaultTolerance } from "./grade/defaultTolerance.ts";
import type { FrameResult, ReadResult } from "./result.ts";
import { judgeRecord } from "./set/judgeRecord.ts";
import { judgeFall, knownText, rangeText } from "./set/judgeStops.ts";
import type { ReadyRecord } from "./set/readySet.ts";

/** What `toBeExposedAs` looks for; settings left out may be any. */
export type ExposedAs = ReadyRecord;

/** The matchers that this module gives to `expect`. */
export interface TonefallMatchers<R = unknown> {
  /**
   * A graded frame's tone falls at a placement: `await gradeFrame(...)` on the left.
   *
   * @param place - as in a brief: `snow`, `-2`, `"1.5..2.3"`
   * @param tolerance - stops, as in a brief; the frame's own where none is given
   */
  toFallWithin(place: string | number, tolerance?: string | number): R;
  /** A read or graded frame was exposed with these settings, by its metadata. */
  toBeExposedAs(settings: ExposedAs): R;
}

declare module "vitest" {
  // biome-ignore lint/suspicious/noExplicitAny: the declaration that is joined has this very parameter
  interface Matchers<T = any> extends TonefallMatchers<T> {}
}

expect.extend({
  toFallWithin(row: FrameResult, place: string | number, tolerance?: string | number) {
    const range = parsePlacement(place);
    const { fall, basis } = row;
    if (!fall || !basis) {
      const why = row.failure?.message ?? "its tone could not be measured";
      return {
        pass: false,
        message: () => `Expected ${row.file} to fall at ${rangeText(range)}, but ${why}`,
      };
    }
    const typed = tolerance === undefined ? null : readyBrief({ tolerance }).tolerance;
    const allowed = typed ?? row.tolerance ?? defaultTolerance(basis, null);
    const { verdict, known } = judgeFall({ ...row, fall }, range, allowed);
    return {
      pass: verdict === "within",
      message: () =>
        `Expected ${row.file} ${verdict === "within" ? "not " : ""}to fall at ${rangeText(range)} within ${allowed.toFixed(2)} stops, but it fell at ${knownText(known)}${verdict === "undecided" ? ", which does not settle it" : ""}`,
      expected: rangeText(range),
      actual: knownText(known),
    };
  },
  toBeExposedAs(read: ReadResult, settings: ExposedAs) {
    const { failure } = read;
    const facts = { sha256: null, failure, caseClash: null, read, tones: new Map() };
    const { outcome, sentence, expected, measured } = judgeRecord(settings, read.file, facts);
    return { pass: outcome === "kept", message: () => sentence, expected, actual: measured };
  },
});
