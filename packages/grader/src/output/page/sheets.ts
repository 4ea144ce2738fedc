import { mayBeOneSeries } from "../../judge/grade/oneSeries.ts";
import type { FrameResult } from "../../model/result.ts";
import type { Markup } from "./markup.ts";
import type { PageFrame } from "./pageFrame.ts";

/** Why frames belong side by side. */
type SheetKind = keyof typeof SHEET_WORDS;

/** Frames that belong side by side. */
export interface Sheet {
  readonly kind: SheetKind;
  /** The element that holds it. */
  readonly id: string;
  readonly parts: readonly SheetPart[];
  /** What was claimed of them, and what became of it; null where nothing was claimed. */
  readonly findings: Markup | null;
}

/** A frame on a sheet. */
export interface SheetPart {
  readonly frame: PageFrame;
  /** What its lane is called: `Frame 7`, with the region where one frame stands twice. */
  readonly label: string;
}

/** What each kind of sheet is called, and what to look for on it. */
export const SHEET_WORDS = {
  patterns: {
    title: "Different metering patterns",
    question: "The metering pattern changed each time. What did each one read?",
  },
  bracket: {
    title: "A bracket",
    question: "One setting changed from frame to frame. Where does the tone fall in each?",
  },
  equivalent: {
    title: "The same exposure, different settings",
    question: "The settings differ, but let in the same light. Do the tones differ?",
  },
  correction: {
    title: "As metered, and corrected",
    question:
      "The first missed its placement, the second did not. What was changed, and in which direction?",
  },
  recompose: {
    title: "Metered here, photographed there",
    question: "The settings were kept from one tone to another. Where did each fall?",
  },
  "same-rendering": {
    title: "Light, grey and dark, rendered alike",
    question:
      "Each was metered on its own and left uncorrected. Where does the meter put each tone?",
  },
  "tonal-pair": {
    title: "Two colours, one tone",
    question: "The colours differ. Does a meter see a difference?",
  },
} as const;

/** Given exposures this near, in stops, are one. */
const SAME_EXPOSURE_STOPS = 0.1;

/** More than this many frames do not fit side by side. */
const MOST = 7;

/**
 * Finds frames of a run that teach more side by side: neighbours in its order, from one folder and within minutes of each
 * other, told by what was changed from one to the next.
 *
 * The settings and the brief say so, not the picture: whether the frames show one scene is for the eye.
 */
export function sheets(frames: readonly PageFrame[]): Sheet[] {
  const found: Sheet[] = [];
  let at = 0;
  while (at < frames.length) {
    const sheet = longest(frames.slice(at, at + MOST));
    if (sheet) found.push({ ...sheet, id: `sheet-${found.length + 1}`, findings: null });
    at += sheet?.parts.length ?? 1;
  }
  return found;
}

/** The sheet of the most frames that begins with the first of a run. */
function longest(run: readonly PageFrame[]): Pick<Sheet, "kind" | "parts"> | null {
  for (let count = run.length; count >= 2; count--) {
    const frames = run.slice(0, count);
    const rows = frames.map(({ row }) => row);
    const rule = oneSeries(rows) ? RULES.find(({ holds }) => holds(rows)) : undefined;
    const parts = frames.map((frame) => ({ frame, label: `Frame ${frame.number}` }));
    if (rule) return { kind: rule.kind, parts };
  }
  return null;
}

interface Rule {
  readonly kind: SheetKind;
  readonly holds: (rows: readonly FrameResult[]) => boolean;
}

const RULES: readonly Rule[] = [
  {
    kind: "patterns",
    holds: (rows) =>
      oneBrief(rows) &&
      allDifferent(rows.map(({ exposure }) => exposure?.meteringPattern.value ?? null)),
  },
  {
    kind: "bracket",
    holds: (rows) =>
      rows.length >= 3 &&
      oneBrief(rows) &&
      changedSettings(rows).length === 1 &&
      allDifferent(rows.map(({ givenExposure }) => givenExposure)),
  },
  {
    kind: "equivalent",
    holds: (rows) => oneBrief(rows) && oneExposure(rows) && changedSettings(rows).length >= 2,
  },
  {
    kind: "correction",
    holds: ([first, second, ...more]) =>
      more.length === 0 &&
      first !== undefined &&
      second !== undefined &&
      oneBrief([first, second]) &&
      (first.verdict === "over" || first.verdict === "under") &&
      second.verdict === "within" &&
      !oneExposure([first, second]),
  },
  {
    kind: "recompose",
    holds: (rows) =>
      rows.length === 2 &&
      changedSettings(rows).length === 0 &&
      oneExposure(rows) &&
      rows.every(({ placement }) => placement !== null) &&
      rows[0]?.placement?.text !== rows[1]?.placement?.text,
  },
];

/** Each frame taken in the folder of the one before it, and not long after it. */
function oneSeries(rows: readonly FrameResult[]): boolean {
  return rows.every((row, i) => i === 0 || mayBeOneSeries(rows[i - 1] as FrameResult, row));
}

/** One tone asked for, on one basis and by one camera. Regions may differ: a hand-held frame moves. */
function oneBrief(rows: readonly FrameResult[]): boolean {
  const briefs = rows.map(({ placement, basis, region, exposure }) =>
    JSON.stringify([placement?.text, basis, region, exposure?.make.value, exposure?.model.value]),
  );
  return rows.every(({ placement }) => placement !== null) && new Set(briefs).size === 1;
}

function changedSettings(rows: readonly FrameResult[]): string[] {
  return (["aperture", "shutter", "iso"] as const).filter(
    (key) => new Set(rows.map(({ exposure }) => exposure?.[key].value ?? null)).size > 1,
  );
}

function oneExposure(rows: readonly FrameResult[]): boolean {
  const given = rows.map(({ givenExposure }) => givenExposure);
  if (given.some((stops) => stops === null)) return false;
  const stops = given as number[];
  return Math.max(...stops) - Math.min(...stops) <= SAME_EXPOSURE_STOPS;
}

function allDifferent(values: readonly (string | number | null)[]): boolean {
  return !values.includes(null) && new Set(values).size === values.length;
}
