import { decidedError } from "../model/decidedError.ts";
import { wasMade } from "../model/madeFrame.ts";
import type { MarkedFrame, MarkedLevel, Remark } from "../model/markedClass.ts";
import type { FrameResult } from "../model/result.ts";
import { boundedStopsText } from "../model/words.ts";
import type { ReadyLevel } from "./classFile.ts";
import { ORDER_IN_DOUBT } from "./orderDoubts.ts";

/** A level that the limits suggest, and why; null where they suggest none. */
export interface SuggestedLevel {
  readonly level: string | null;
  readonly reason: Remark;
}

/** The level that one frame reaches. */
export function levelOfFrame(row: FrameResult, levels: readonly ReadyLevel[]): SuggestedLevel {
  const { failure, error, verdict } = row;
  if (wasMade(row)) return none("made-frame", MADE);
  if (failure) return none("unreadable", `The frame could not be read: ${failure.message}`);
  if (!error || verdict === null) {
    return none("no-placement", "The task gives no placement to judge by.");
  }
  if (verdict === "undecided") {
    return none("cannot-tell", "The frame's uncertainty leaves its verdict open: look at it.");
  }
  const { stops, bound } = decidedError(error);
  const size = Math.abs(stops);
  const reached = levels.find(({ limit }) => {
    if (limit === "any") return true;
    return limit === "tolerance" ? verdict === "within" : size <= limit;
  });
  // Where the tone lies at least this far off, a level that such an error reaches may be out of reach.
  const open = bound !== null && (bound === "at least") === stops > 0 && verdict !== "within";
  if (open && reached !== levels.at(-1)) {
    return none(
      "at-least",
      `The error is ${boundedStopsText({ stops, bound })}, which may reach another level: look at it.`,
    );
  }
  const level = reached?.name ?? null;
  return { level, reason: { code: "limits", message: reasonText(row, reached) } };
}

function reasonText(row: FrameResult, level: ReadyLevel | undefined): string {
  const error = row.error ? boundedStopsText(decidedError(row.error)) : "";
  const limit = level?.limit;
  if (limit === "tolerance") return `Within its tolerance (${error}).`;
  if (typeof limit === "number") return `Off by ${error}, at most ${limitText(limit)}.`;
  return `Off by ${error}.`;
}

function limitText(stops: number): string {
  const figure = String(Math.round(100 * stops) / 100);
  return stops === 1 ? "1 stop" : `${figure} stops`;
}

/**
 * The level of a task with several frames: the best one that at least half of its frames reach. A missing frame reaches the last
 * level alone.
 *
 * @param asked - how many frames the task asks for
 */
export function levelOfTask(
  frames: readonly Pick<MarkedFrame, "row">[],
  asked: number,
  levels: readonly ReadyLevel[],
): SuggestedLevel {
  // Nobody exposed a made frame: it counts as if it had not been handed in.
  const shot = frames.filter(({ row }) => !wasMade(row));
  const each = shot.map(({ row }) => levelOfFrame(row, levels));
  const [only] = each;
  if (!only) {
    return frames.length > 0 ? none("made-frame", MADE) : none("missing", "Nothing was handed in.");
  }
  if (asked === 1) return only;
  const known = each.filter(({ level }) => level !== null);
  const open = each.length - known.length;
  if (known.length === 0) return only;
  const half = asked / 2;
  for (const [i, { name, limit }] of levels.entries()) {
    const names = levels.slice(0, i + 1).map((level) => level.name);
    const reach = known.filter(({ level }) => names.includes(level as string)).length;
    const enough = limit === "any" || reach >= half;
    if (!enough && reach + open >= half) {
      return none(
        "cannot-tell",
        `${reach} of ${asked} frames reach "${name}", and for ${open} Tonefall cannot tell: look at them.`,
      );
    }
    if (!enough) continue;
    const said = limit === "any" ? `Fewer than half of ${asked} frames reach a higher level.` : "";
    const message = said === "" ? `${reach} of ${asked} frames reach "${name}".` : said;
    return { level: name, reason: { code: "limits", message } };
  }
  return none("cannot-tell", "No level fits.");
}

const MADE =
  "Tonefall made the frame from a capture: ask for a photograph that the student exposed.";

/** The level of frames whose task only their order tells, where there are more or fewer than the tasks ask for. */
export const LEVEL_BY_ORDER_IN_DOUBT: SuggestedLevel = none(
  ORDER_IN_DOUBT,
  "Only the order of the files tells which task each answers, and there are more or fewer than asked for: look at them.",
);

function none(code: string, message: string): SuggestedLevel {
  return { level: null, reason: { code, message } };
}

/** A suggested level with the teacher's own in its place, where there is one. */
export function withOverride(
  { level, reason }: SuggestedLevel,
  override: MarkedLevel["override"],
): MarkedLevel {
  return { level: override?.level ?? level, suggested: level, reason, override };
}
