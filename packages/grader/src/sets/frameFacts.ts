import type { Note } from "../model/note.ts";
import type { FrameResult, ReadResult } from "../model/result.ts";
import type { ToneAsk } from "./ask.ts";

/** What is known of a set's frame once its file has been read and measured: all that judging needs. */
export interface FrameFacts {
  /** Of the file's bytes, hexadecimal; null where they could not be read. */
  readonly sha256: string | null;
  /** Why nothing else is known; null where something is. */
  readonly failure: Note | null;
  /** A name, on disk or in the set, that differs only by the case of letters; null where there is none. */
  readonly caseClash: string | null;
  /** The exposure record; null with a failure. */
  readonly read: ReadResult | null;
  /** The measured tones, by {@link toneKey}. */
  readonly tones: ReadonlyMap<string, FrameResult>;
}

/** The facts of a set's frames, by the frames' names. */
export type SetFacts = ReadonlyMap<string, FrameFacts>;

/** The key of a measurement in {@link FrameFacts.tones}. */
export function toneKey({ region, basis }: Pick<ToneAsk, "region" | "basis">): string {
  return `${basis ?? "own"} ${region}`;
}

/** A measured tone, or why there is none. */
export type Tone =
  | { readonly row: FrameResult; readonly failure: null }
  | { readonly row: null; readonly failure: Note };

/** The measured tone that a claim needs, or why there is none. */
export function toneOf(facts: SetFacts, ask: ToneAsk): Tone {
  const frame = facts.get(ask.frame);
  if (!frame) return { row: null, failure: NOT_MEASURED };
  const row = frame.tones.get(toneKey(ask));
  const failure = frame.failure ?? (row ? row.failure : NOT_MEASURED);
  return failure ? { row: null, failure } : { row: row as FrameResult, failure: null };
}

const NOT_MEASURED: Note = { code: "not-measured", message: "The frame was not measured." };
