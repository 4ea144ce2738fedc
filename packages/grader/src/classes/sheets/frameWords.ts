import { speakStops } from "@tonefall/tone-core";
import { lightWords, missWords } from "../../judge/advice/lightWords.ts";
import { causeFacts } from "../../judge/cause/causeFacts.ts";
import type { CauseCode } from "../../model/cause.ts";
import { decidedError } from "../../model/decidedError.ts";
import type { FrameResult } from "../../model/result.ts";
import { filled, type SheetTemplates } from "./sheetTemplates.ts";

/** What a sheet says of one frame: each one sentence. */
export interface FrameWords {
  /** What happened. */
  readonly verdict: string;
  /** Null where it did not miss. */
  readonly cause: string | null;
  /** What to do next. */
  readonly next: string;
  /** What went well. */
  readonly well: string;
}

/** Next steps that a cause calls for in place of the usual one. */
const NEXT_BY_CAUSE: Readonly<Partial<Record<CauseCode, string>>> = {
  "compensation-ignored-in-manual": "next-manual-setting",
  "auto-iso-undid-change": "next-fixed-iso",
  "flash-fired": "next-flash",
  "settings-and-tones-disagree": "next-without-edit",
  "bracket-step": "next-other-step",
};

/** A miss is near within this many stops. */
const NEAR = 1;

/** The words of a frame of which nobody knows which task it answers. */
export function openWords(templates: SheetTemplates): FrameWords {
  return {
    verdict: filled(templates, "verdict-which-task"),
    cause: null,
    next: filled(templates, "next-which-task"),
    well: filled(templates, "well-handed-in"),
  };
}

/** One verdict, one cause, one next step and what went well, for the student. */
export function frameWords(row: FrameResult, templates: SheetTemplates): FrameWords {
  const { verdict, failure } = row;
  const say = (key: string, slots: Readonly<Record<string, string>> = {}): string =>
    filled(templates, key, slots);
  const plain = (key: string): FrameWords => ({
    verdict: say(`verdict-${key}`),
    cause: null,
    next: say(`next-${key}`),
    well: say(wellKey(row)),
  });
  if (failure) return plain("unreadable");
  if (verdict === null) return plain("none");
  if (verdict === "within") return plain(verdict);
  if (verdict === "undecided") return edgeWords(row, templates) ?? plain(verdict);
  const over = verdict === "over";
  const light = row.next && lightWords(row.next);
  const missed = row.next && row.error && missWords(row.next, decidedError(row.error).stops);
  const slots = {
    size: light === null ? "" : sizeText(light, templates),
    lighter: say(over ? "lighter" : "darker"),
    less: say(over ? "less" : "more"),
    towards: say(over ? "towards-minus" : "towards-plus"),
  };
  const cause = row.causes[0]?.code ?? "not-known";
  return {
    verdict: say(light === null ? "verdict-too-far" : `verdict-${verdict}`, {
      ...slots,
      size: missed === null ? "" : sizeText(missed, templates),
    }),
    cause: say(`cause-${cause}`),
    next: say(light === null ? "next-too-far" : nextKey(row, cause), slots),
    well: say(wellKey(row)),
  };
}

/** What is said where a tone lies so close to the end of its tolerance that nobody can tell on which side; null elsewhere. */
function edgeWords(row: FrameResult, templates: SheetTemplates): FrameWords | null {
  const { error } = row;
  if (!error || error.bound !== null || Math.abs(error.stops) <= error.uncertainty) return null;
  const size = speakStops(Math.abs(error.stops));
  if (!isSize(size)) return null;
  const over = error.stops > 0;
  const slots = {
    size: sizeText(size, templates),
    lighter: filled(templates, over ? "lighter" : "darker"),
    less: filled(templates, over ? "less" : "more"),
  };
  return {
    verdict: filled(templates, "verdict-edge", slots),
    cause: null,
    next: filled(templates, "next-edge", slots),
    well: filled(templates, "well-near"),
  };
}

function nextKey(row: FrameResult, cause: CauseCode): string {
  return NEXT_BY_CAUSE[cause] ?? `next-${causeFacts(row)?.mode ?? "unknown"}`;
}

const SIZE = /^(at least )?([\d/ ]{1,9}) (stops?)$/;

/** Whether words say how many stops, rather than that there are none worth naming. */
function isSize(english: string): boolean {
  return SIZE.test(english);
}

/** A size in the words of the templates: they may put the unit first. */
function sizeText(english: string, templates: SheetTemplates): string {
  const [, least, size = "", unit = "stops"] = SIZE.exec(english) ?? [];
  const text = filled(templates, unit, { size });
  return least === undefined ? text : filled(templates, "at-least", { size: text });
}

function wellKey({ verdict, causes, error, clipped }: FrameResult): string {
  if (verdict === "within") return "well-held";
  const isMiss = verdict === "over" || verdict === "under";
  if (isMiss && causes[0]?.code === "compensated-too-little") return "well-right-way";
  if (isMiss && error && Math.abs(decidedError(error).stops) < NEAR) return "well-near";
  return clipped?.share === 0 ? "well-unclipped" : "well-handed-in";
}
