import { missWords } from "../../judge/advice/lightWords.ts";
import { feedbackFor } from "../../judge/feedback/feedbackFor.ts";
import { decidedError } from "../../model/decidedError.ts";
import { wasMade } from "../../model/madeFrame.ts";
import type { FrameResult } from "../../model/result.ts";
import { sentenceCase, settingsText } from "../../model/words.ts";
import { dataElement, type Markup } from "./markup.ts";
import type { FrameData } from "./pageData.ts";
import type { PageFrame } from "./pageFrame.ts";
import { sizeWords, typeset } from "./pageWords.ts";
import { laneOf, scaleEnd } from "./stopScalePlot.ts";

/** What a page tells of a frame, in the page's own words. */
export function frameData({ row, number, id, name, folder, caption = null }: PageFrame): FrameData {
  const { placement, fall, error, verdict, failure } = row;
  const student = feedbackFor(row, row.causes, "student", row.next ?? undefined);
  const teacher = feedbackFor(row, row.causes, "teacher", row.next ?? undefined);
  const shown = row.feedback ?? student;
  return {
    number,
    id,
    name,
    folder,
    region: row.region,
    placement: placement && { from: placement.from, to: placement.to, text: placement.text },
    tolerance: row.tolerance,
    fall: fall && { stops: fall.stops, bound: fall.bound },
    error: error && { ...decidedError(error), uncertainty: error.uncertainty },
    verdict,
    byDesign: missedByDesign(row),
    lane: fall || placement ? laneOf({ row }) : null,
    end: scaleEnd(row),
    headline: headline(row),
    cause: row.causes[0]?.code ?? null,
    ...whyAndNext(verdict === "within" ? null : (shown?.text ?? null)),
    feedback: student &&
      teacher && { student: typeset(student.text), teacher: typeset(teacher.text) },
    cautions: verdict === "within" ? [] : (shown?.cautions ?? []),
    settings: row.exposure === null ? "" : typeset(settingsText(row.exposure)),
    caption,
    failure: failure?.message ?? null,
  };
}

/** The same as an element beside the frame's card. */
export function frameDataElement(data: FrameData): Markup {
  return dataElement(`${data.id}-data`, data, "frame-data");
}

/**
 * Whether a frame misses on purpose and is no miss to look at: a step of a bracket, which leaves its meter, or a frame that
 * was made to show it.
 */
export function missedByDesign(row: Pick<FrameResult, "causes" | "verdict" | "exposure">): boolean {
  const { causes, verdict } = row;
  const missed = verdict === "over" || verdict === "under";
  return missed && (causes[0]?.code === "bracket-step" || wasMade(row));
}

/** What a row comes to, in words and thirds: `1 2/3 stops too light`. */
function headline(row: FrameResult): string {
  const { verdict, error, next, fall, failure } = row;
  if (failure) return "Not graded";
  if (verdict === "within") return "Within";
  if (verdict === "undecided") return "Cannot tell";
  if (verdict && error) {
    const side = verdict === "over" ? "light" : "dark";
    if (next?.reason === "too-far-to-tell") return `Far too ${side}`;
    const { stops } = decidedError(error);
    const size = (next && missWords(next, stops)) ?? sizeWords(stops) ?? "less than 1/6 stop";
    return typeset(`${sentenceCase(size)} too ${side}`);
  }
  if (!fall) return "Not measured";
  return fallHeadline(fall);
}

/**
 * Where a tone fell that nobody placed; what is clipped or buried in black lies there or further.
 *
 * @public tests read every bound
 */
export function fallHeadline({
  stops,
  bound,
}: Pick<NonNullable<FrameResult["fall"]>, "stops" | "bound">): string {
  const size = sizeWords(stops);
  const at =
    size === null ? "At middle grey" : `${size} ${stops > 0 ? "above" : "below"} middle grey`;
  return bound === null ? at : `${at} or ${bound === "at least" ? "lighter" : "darker"}`;
}

const MISSED_BEGINNING = " than placed";

/**
 * Takes a grade in words apart: why it missed, and the one thing to do. That it missed stands above both already.
 *
 * @public tests take every grade apart
 */
export function whyAndNext(text: string | null): Pick<FrameData, "why" | "next"> {
  if (text === null) return { why: null, next: null };
  const end = text.indexOf(". ");
  const [first, rest] = end < 0 ? [text, ""] : [text.slice(0, end), text.slice(end + 2)];
  const begin = first.indexOf(MISSED_BEGINNING);
  const why =
    begin < 0
      ? first
      : first.slice(begin + MISSED_BEGINNING.length).replace(/^(?:: |, and |, but )/, "");
  const sentence = (words: string): string | null =>
    words === "" ? null : typeset(sentenceCase(words));
  return { why: sentence(`${why}.`), next: sentence(rest) };
}
