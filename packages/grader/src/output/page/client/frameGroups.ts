import type { FrameData } from "../pageData.ts";
import { CAUSE_WORDS } from "../wording.ts";
import { element } from "./element.ts";
import { isMiss } from "./shownFrames.ts";

/** Frames and their cards; null for a frame that is only listed. */
export type Cards = ReadonlyMap<FrameData, HTMLElement | null>;

/** Puts cards in order, under headings where they are grouped. */
export function orderCards(shown: readonly FrameData[], cards: Cards, by: string): void {
  const section = document.querySelector("#frames");
  if (!section || document.querySelector(".frame") === null) return;
  const heads = section.querySelectorAll(".group-head");
  if (by === "" && heads.length === 0 && section.getAttribute("data-by") === null) return;
  for (const head of heads) head.remove();
  if (by === "") section.removeAttribute("data-by");
  else section.setAttribute("data-by", by);
  for (const { name, frames } of groupsOf([...cards.keys()], by)) {
    const count = frames.filter((frame) => shown.includes(frame)).length;
    if (name !== null && count > 0) {
      section.append(element("h3", { class: "group-head" }, `${name}: ${count}`));
    }
    section.append(...frames.flatMap((frame) => cards.get(frame) ?? []));
  }
}

interface Group {
  /** Null where the frames stand without a heading. */
  readonly name: string | null;
  readonly frames: readonly FrameData[];
}

function groupsOf(all: readonly FrameData[], by: string): Group[] {
  if (by === "") return [{ name: null, frames: all }];
  if (by === "worst") {
    const frames = [...all].sort((a, b) => urgency(b) - urgency(a) || a.number - b.number);
    return [{ name: null, frames }];
  }
  const groups = new Map<string, FrameData[]>();
  for (const frame of all) {
    const name = by === "folder" ? frame.folder || "this folder" : causeGroup(frame);
    groups.set(name, [...(groups.get(name) ?? []), frame]);
  }
  const named = [...groups].map(([name, frames]) => ({ name, frames }));
  return by === "folder" ? named : named.sort(missesFirst);
}

/** Groups of misses stand first, the larger before the smaller. */
function missesFirst({ frames: a }: Group, { frames: b }: Group): number {
  const ofMisses = (frames: readonly FrameData[]) => Number(isMiss(frames[0] as FrameData));
  return ofMisses(b) - ofMisses(a) || b.length - a.length;
}

function causeGroup(frame: FrameData): string {
  if (isMiss(frame)) return CAUSE_WORDS[frame.cause ?? "not-known"];
  if (frame.byDesign) return CAUSE_WORDS["bracket-step"];
  return frame.verdict ?? (frame.failure ? "not graded" : "measured");
}

/** Misses by their size, then frames where Tonefall cannot tell, then the rest. */
function urgency(frame: FrameData): number {
  const size = Math.abs(frame.error?.stops ?? 0);
  if (frame.failure) return 300;
  if (isMiss(frame)) return 200 + size;
  return frame.verdict === "undecided" ? 100 + size : frame.byDesign ? 50 + size : 0;
}
