import type { Cause, CauseCode } from "./cause.ts";

/** Who a sentence speaks to. */
export type Voice = "student" | "teacher";

/** The voices a sentence may have. */
export const VOICES: readonly Voice[] = ["student", "teacher"];

/** A grade in words: what happened, why, and what to do next. */
export interface Feedback {
  /** Who it speaks to. */
  readonly voice: Voice;
  /** At most 45 words. */
  readonly text: string;
  /** The causes it speaks from, the best supported first, two at most; empty where the frame did not miss. */
  readonly causes: readonly CauseCode[];
  /** How well the first of them is supported; null without one, and where it is not known. */
  readonly strength: Cause["strength"] | null;
  /** To be shown beside the text wherever it is shown; usual cautions, not advice from a licensed person. */
  readonly cautions: readonly string[];
}
