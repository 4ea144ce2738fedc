import type { CauseCode } from "../../model/cause.ts";
import { decidedError } from "../../model/decidedError.ts";
import type { FrameResult } from "../../model/result.ts";
import { boundedStopsText, countText, percentText, safeText } from "../../model/words.ts";
import { CAUSE_WORDS } from "../page/wording.ts";
import { shortened } from "./shortened.ts";
import { needOf, type UrgentRow, worstFirst } from "./worstFirst.ts";

/** What the end of a summary reads of a row. */
export type SummedRow = UrgentRow &
  Pick<FrameResult, "file" | "placement" | "basis"> & {
    /** Of the best supported cause; null without one. */
    readonly cause: CauseCode | null;
  };

/** Which options the run had already; null where the results are of an earlier run. */
export type GivenOptions = {
  readonly voice: boolean;
  readonly report: boolean;
  readonly kit: boolean;
  readonly region: boolean;
} | null;

/** Frames that are named. */
const NAMED = 3;

/** A step of a bracket leaves its meter on purpose, and is not a miss to look at. */
const MEANT: CauseCode = "bracket-step";

/** Columns of a name within a sentence. */
const NAME_WIDTH = 30;

/**
 * What to do after a run, one sentence each: the commonest cause, the frames to look at first, what was skipped, and the
 * option to try next.
 */
export function whatNext(
  rows: readonly SummedRow[],
  given: GivenOptions,
  name: (row: SummedRow) => string,
): string[] {
  return [causeSentence(rows), lookFirst(rows, name), skipped(rows), nextStep(rows, given)].filter(
    (sentence) => sentence !== "",
  );
}

function causeSentence(rows: readonly SummedRow[]): string {
  const causes = rows.flatMap(({ cause }) => (cause && cause !== MEANT ? [cause] : []));
  const [commonest] = byCount(causes);
  if (!commonest) return "";
  const [code, count] = commonest;
  const missed = rows.filter(isMissed).length;
  const words = code === "not-known" ? "not known from the files" : CAUSE_WORDS[code];
  return missed === 1
    ? `Cause: ${words}.`
    : `Commonest cause: ${words} (${count} of ${missed} misses).`;
}

function lookFirst(rows: readonly SummedRow[], name: (row: SummedRow) => string): string {
  const needy = worstFirst(
    rows.filter((row) => !row.failure && row.cause !== MEANT && needOf(row) !== null),
  );
  if (rows.length < 2 || needy.length === 0) return "";
  const named = needy
    .slice(0, NAMED)
    .map((row) => `${shortened(safeText(name(row)), NAME_WIDTH)} (${needText(row)})`);
  return `Look first at ${named.join(", ")}.`;
}

function needText(row: SummedRow): string {
  const need = needOf(row);
  switch (need?.need) {
    case "missed":
      return row.error ? boundedStopsText(decidedError(row.error)) : "missed";
    case "clipped":
      return `${percentText(need.size)} clipped`;
    case "black":
      return `${percentText(need.size)} black`;
    case "mixed":
      return "several tones";
    default:
      return "cannot tell";
  }
}

function skipped(rows: readonly SummedRow[]): string {
  const codes = byCount(rows.flatMap(({ failure }) => (failure ? [safeText(failure.code)] : [])));
  if (codes.length === 0) return "";
  const reasons = codes.map(([code, count]) => (codes.length === 1 ? code : `${count} ${code}`));
  const total = codes.reduce((sum, [, count]) => sum + count, 0);
  return `Skipped: ${countText(total, "frame")} (${reasons.join(", ")}).`;
}

/** The step that helps most with what this run showed. */
function nextStep(rows: readonly SummedRow[], given: GivenOptions): string {
  const graded = rows.filter(({ failure }) => !failure);
  if (graded.length === 0) return "Next: see above why no frame was graded.";
  if (given === null) return "";
  if (graded.every(({ verdict }) => verdict === null)) return placeStep(graded, given);
  if (graded.some(isMissed)) return missStep(graded, given);
  const undecided = graded.filter(({ verdict }) => verdict === "undecided").length;
  if (undecided > 0 && !given.kit && graded.some(({ basis }) => basis === "scene")) {
    return "Next: measure your camera (tonefall kit --help) and add --kit FILE, which narrows the uncertainty.";
  }
  if (undecided > 0) {
    return "Next: widen --tolerance, or add --region with a part of the subject that is not clipped.";
  }
  return "";
}

function placeStep(graded: readonly SummedRow[], { region }: NonNullable<GivenOptions>): string {
  const mixed = graded.filter(({ notes }) => notes.some(({ code }) => code === "mixed")).length;
  if (!region && 2 * mixed >= graded.length) {
    const share = graded.length === 1 ? "the frame holds" : `${mixed} of ${graded.length} hold`;
    return `Next: ${share} several tones; add --region spot, or a box around the subject, and --place TONE for a verdict.`;
  }
  return "Next: add --place TONE for a verdict; tonefall tones lists the tones.";
}

function missStep(
  graded: readonly SummedRow[],
  { voice, report }: NonNullable<GivenOptions>,
): string {
  const one = graded.length === 1;
  if (!voice) {
    return `Next: add --voice student to read why ${one ? "it" : "each frame"} missed and what to do.`;
  }
  return report
    ? ""
    : `Next: add --report page.html to see ${one ? "it" : "them"} with the regions marked.`;
}

function isMissed({ verdict, cause }: SummedRow): boolean {
  return (verdict === "over" || verdict === "under") && cause !== MEANT;
}

/** Values with how often each comes, the commonest first. */
function byCount<Value extends string>(values: readonly Value[]): [Value, number][] {
  const counts = new Map<Value, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  return [...counts].sort(([, a], [, b]) => b - a);
}
