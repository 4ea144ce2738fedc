import type { WallFrame } from "../wallData.ts";

/** What a class is asked about a frame, in the order of the ruler. */
export const ANSWERS = ["under", "within", "over"] as const;

/** One of the answers to a prediction. */
export type Answer = (typeof ANSWERS)[number];

/** A tone this near middle grey, in stops, counts as middle grey for a class: the tolerance of rendered claims. */
export const AT_GREY_STOPS = 1 / 3;

/** What was right to predict; null where the frame does not settle it. */
export function answerOf({ data: { placement, verdict, fall } }: WallFrame): Answer | null {
  if (placement) return verdict === "undecided" ? null : verdict;
  if (!fall) return null;
  if (Math.abs(fall.stops) <= AT_GREY_STOPS) return "within";
  return fall.stops > 0 ? "over" : "under";
}

/** What a class may answer, with a placement and without one. */
export function answerWords({ data }: WallFrame): Readonly<Record<Answer, string>> {
  return data.placement
    ? { under: "darker", within: "as placed", over: "lighter" }
    : { under: "below middle grey", within: "at middle grey", over: "above middle grey" };
}

/** The truth in words: `1 2/3 stops too light`. */
export function truthWords(frame: WallFrame): string {
  const { placement, headline } = frame.data;
  // Where nobody placed the tone, what counts as middle grey here is said to be at it.
  return !placement && answerOf(frame) === "within" ? "At middle grey" : headline;
}

/** What happens to a frame on the wall, in this order. */
export const STEPS = ["look", "predict", "reveal", "why"] as const;

/** One of the steps. */
export type Step = (typeof STEPS)[number];

/** How many hands went up for each answer. */
export type Hands = Readonly<Record<Answer, number>>;

/** No hand yet. */
export const NO_HANDS: Hands = { under: 0, within: 0, over: 0 };

/** Where a lesson stands: at a step of a frame, or on a page of the summary after the last. */
export type Place = { readonly frame: number; readonly step: Step } | { readonly summary: number };

/** The summary shows so many frames at a time. */
export const SUMMARY_ROWS = 7;

/** A school's largest hall. */
const MOST_HANDS = 999;

/** Every place of a lesson of so many frames, in order. */
export function placesOf(frames: readonly WallFrame[]): readonly Place[] {
  const steps = frames.flatMap(({ data: { why, next } }, frame) =>
    STEPS.filter((step) => step !== "why" || why !== null || next !== null).map((step) => ({
      frame,
      step,
    })),
  );
  const pages = Math.max(1, Math.ceil(frames.length / SUMMARY_ROWS));
  return [...steps, ...Array.from({ length: pages }, (_, summary) => ({ summary }))];
}

/** A count as somebody types it: whole, and from 0 to the largest hall. */
export function countOf(text: string): number {
  const count = Number(text.replace(/\D/g, "").slice(0, 6));
  return Math.min(MOST_HANDS, count);
}

/** All hands that went up for a frame. */
export function handsIn(hands: Hands): number {
  return ANSWERS.reduce((sum, answer) => sum + hands[answer], 0);
}

/** What a class predicted over a lesson. */
export interface LessonSum {
  /** Hands raised for frames that have an answer. */
  readonly raised: number;
  /** Those of them that had it. */
  readonly right: number;
  /** The frame that most hands missed; null where every hand was right. */
  readonly hardest: {
    readonly frame: WallFrame;
    readonly right: number;
    readonly raised: number;
  } | null;
}

/** Sums up a lesson; frames that settle nothing count for nobody. */
export function sumOf(
  frames: readonly WallFrame[],
  handsOf: (frame: WallFrame) => Hands,
): LessonSum {
  const counted = frames.flatMap((frame) => {
    const hands = handsOf(frame);
    const raised = handsIn(hands);
    const answer = answerOf(frame);
    return answer === null || raised === 0 ? [] : [{ frame, raised, right: hands[answer] }];
  });
  const missed = counted
    .filter(({ raised, right }) => right < raised)
    .sort((a, b) => a.right / a.raised - b.right / b.raised);
  return {
    raised: counted.reduce((sum, { raised }) => sum + raised, 0),
    right: counted.reduce((sum, { right }) => sum + right, 0),
    hardest: missed[0] ?? null,
  };
}
