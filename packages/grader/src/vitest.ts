/**
 * Matchers for Vitest, for tests of tools that make or judge pictures.
 *
 * @packageDocumentation
 */
import { nearestWord, parsePlacement } from "@tonefall/tone-core";
import { expect } from "vitest";
import { readyBrief } from "./brief/brief.ts";
import { defaultTolerance } from "./judge/grade/defaultTolerance.ts";
import { GraderError } from "./model/errors.ts";
import type { FrameResult, ReadResult } from "./model/result.ts";
import { judgeRecord } from "./sets/judgeRecord.ts";
import { judgeFall, knownText, rangeText } from "./sets/judgeStops.ts";
import type { ReadyRecord } from "./sets/readySet.ts";
import type { RecordClaim } from "./sets/setFile.ts";
import { RECORD_KEYS, recordSchema } from "./sets/setSchema.ts";
import { secondsOf, stopsOf } from "./sets/setValues.ts";

/** The settings that `toBeExposedAs` expects; those left out may have any value. */
export type ExposedAs = RecordClaim;

/**
 * The matchers that this module adds to `expect`. A tone that was not measured, or that is too close to the limit to tell,
 * fails an expectation and its opposite alike.
 */
export interface TonefallMatchers<R = unknown> {
  /**
   * Expects a frame's tone to fall at a placement; pass what `gradeFrame` gives to `expect`.
   *
   * @param place - as in a brief: `snow`, `-2`, `"1.5..2.3"`
   * @param tolerance - stops, as in a brief; by default the frame's own
   * @throws `ToneError` for a placement that is none, {@link GraderError} `bad-tolerance` for such a tolerance
   */
  toFallWithin(place: string | number, tolerance?: string | number): R;
  /**
   * Expects a frame's metadata to record these settings; pass what `readFrame` or `gradeFrame` gives to `expect`.
   *
   * @throws {@link GraderError} `bad-option` without a setting, or for one that is unknown or has a wrong value
   */
  toBeExposedAs(settings: ExposedAs): R;
}

declare module "vitest" {
  // biome-ignore lint/suspicious/noExplicitAny: the declaration that is joined has this very parameter
  interface Matchers<T = any> extends TonefallMatchers<T> {}
}

expect.extend({
  toFallWithin(row: FrameResult, place: string | number, tolerance?: string | number) {
    const range = parsePlacement(place);
    const typed = tolerance === undefined ? null : readyBrief({ tolerance }).tolerance;
    const asked = `to fall at ${rangeText(range)}`;
    const { fall, basis, failure } = rowOf(row);
    if (!fall || !basis) {
      const why = failure?.message ?? "its tone was not measured; pass a row of gradeFrame";
      return openFor(this, () => `Expected ${nameOf(row)} ${asked}, but ${why}`);
    }
    const allowed = typed ?? row.tolerance ?? defaultTolerance(basis, null);
    const { verdict, known } = judgeFall({ ...row, fall }, range, allowed);
    const message = (not: string): string =>
      `Expected ${row.file} ${not}${asked} within ${allowed.toFixed(2)} stops, but it fell at ${knownText(known)}`;
    if (verdict === "undecided") {
      return openFor(
        this,
        () =>
          `${message(this.isNot ? "not " : "")}; that is too close to the limit, or too much is clipped or black, to tell`,
      );
    }
    return {
      pass: verdict === "within",
      message: () => message(verdict === "within" ? "not " : ""),
      expected: rangeText(range),
      actual: knownText(known),
    };
  },
  toBeExposedAs(read: ReadResult, settings: ExposedAs) {
    const record = recordOf(settings);
    const { exposure, failure } = rowOf(read);
    if (failure || !exposure) {
      const why =
        failure?.message ?? "its metadata were not read; pass a row of readFrame or gradeFrame";
      return openFor(this, () => `Expected ${nameOf(read)} to record its exposure, but ${why}`);
    }
    const facts = { sha256: null, failure: null, caseClash: null, read, tones: new Map() };
    const found = judgeRecord(record, read.file, facts);
    const { outcome, sentence, expected, measured } = found;
    if (outcome === "undecided") return openFor(this, () => sentence);
    return { pass: outcome === "kept", message: () => sentence, expected, actual: measured };
  },
});

/** A result that decides nothing: the expectation fails, negated or not. */
function openFor(
  { isNot }: { readonly isNot: boolean },
  message: () => string,
): { readonly pass: boolean; readonly message: () => string } {
  return { pass: isNot, message };
}

/** A value under test as a row; an empty one where it is something else, such as a promise that nobody awaited. */
function rowOf<Row extends object>(value: Row): Partial<Row> {
  return typeof value === "object" && value !== null ? value : {};
}

function nameOf(value: { readonly file: string }): string {
  return rowOf(value).file ?? "a frame";
}

/**
 * Reads settings in the form of a record claim.
 *
 * @throws {@link GraderError} `bad-option` for an unknown key or value, because a typing mistake would otherwise pass unnoticed
 */
function recordOf(settings: ExposedAs): ReadyRecord {
  const refuse = (what: string): GraderError =>
    new GraderError(
      "bad-option",
      `Expected settings (${RECORD_KEYS.join(", ")}) but received ${what}`,
    );
  const parsed = recordSchema.safeParse(settings);
  if (!parsed.success) {
    const [issue] = parsed.error.issues;
    if (issue?.code !== "unrecognized_keys") {
      throw refuse(`a wrong value for ${issue?.path.join(".")} (${issue?.message})`);
    }
    const [unknown = ""] = issue.keys;
    const nearest = nearestWord(unknown, RECORD_KEYS);
    throw refuse(`"${unknown}"${nearest === null ? "" : `; did you mean "${nearest}"?`}`);
  }
  if (Object.keys(settings).length === 0) throw refuse("none");
  const { shutter, compensation, ...rest } = parsed.data;
  return {
    ...rest,
    ...(shutter === undefined ? {} : { shutter: secondsOf(shutter) }),
    ...(compensation === undefined ? {} : { compensation: stopsOf(compensation) }),
  };
}
