import type { Bound, Verdict } from "@tonefall/tone-core";
import type { CauseCode } from "../../model/cause.ts";
import type { RulerLane } from "./ruler.ts";

/**
 * What a page tells of a frame, for the page's own code: cards, the wall, filters and copied texts read it.
 *
 * It stands beside each card as `<script type="application/json" class="frame-data">`, written by `frameDataElement`;
 * `framesOfPage()` in the client reads all of a page. The picture is the card's own: `#frame-3 .picture img`.
 */
export interface FrameData {
  /** From 1, in the order of the run. */
  readonly number: number;
  /** Of the card: `frame-3`. */
  readonly id: string;
  /** Hostile input: set it as text, never as markup. */
  readonly name: string;
  readonly folder: string;
  /** In text form, fractions of the upright picture; null where nothing was measured. */
  readonly region: string | null;
  readonly placement: { readonly from: number; readonly to: number; readonly text: string } | null;
  readonly tolerance: number | null;
  readonly fall: { readonly stops: number; readonly bound: Bound | null } | null;
  /** The figure that the verdict rests on. */
  readonly error: {
    readonly stops: number;
    readonly bound: Bound | null;
    readonly uncertainty: number;
  } | null;
  readonly verdict: Verdict | null;
  /** A step of a bracket misses by design, and is not counted among the misses. */
  readonly byDesign: boolean;
  /** The lane of the frame's ruler; null where there is neither placement nor fall. */
  readonly lane: RulerLane | null;
  /** Where the picture's own scale ends, stops from middle grey. */
  readonly end: number;
  /** `1 2/3 stops too light`, `within`, `cannot tell`, `fell at +0.13`, `not graded`. */
  readonly headline: string;
  /** The best supported cause; null where it did not miss. */
  readonly cause: CauseCode | null;
  /** One sentence each; null where there is nothing to say. */
  readonly why: string | null;
  readonly next: string | null;
  /** Grades in words to copy, for either voice; null without a verdict. */
  readonly feedback: { readonly student: string; readonly teacher: string } | null;
  /** Cautions that belong to those words. */
  readonly cautions: readonly string[];
  /** `f/8 1/125 ISO 100`. */
  readonly settings: string;
  /** What it is there to show. Hostile input; null where nobody said. */
  readonly caption: string | null;
  /** Why it was not graded; null where it was. */
  readonly failure: string | null;
}
