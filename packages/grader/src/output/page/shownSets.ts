import type { FrameFacts } from "../../sets/frameFacts.ts";
import { namelessSet } from "../../sets/namelessSet.ts";
import type { ReadySet } from "../../sets/readySet.ts";
import { type Unit, unitsOf } from "../../sets/units.ts";
import { frameCode } from "./frameNames.ts";
import { framesOf } from "./keptCheck.ts";
import type { PageFrame } from "./pageFrame.ts";
import type { Card } from "./reportPages.ts";

/** A set as the page tells it, and what is known of it so far. */
export interface ShownSet {
  readonly set: ReadySet;
  readonly units: readonly Unit[];
  /** Of all frames before its own. */
  readonly framesBefore: number;
  readonly severalSets: boolean;
  /** By their places in the set. */
  readonly frames: Map<number, { readonly frame: PageFrame; readonly card: Card }>;
  readonly facts: Map<string, FrameFacts>;
}

/** Sets as a page is to tell them, their frames numbered through. */
export function shownSets(sets: readonly ReadySet[], anonymous: boolean): ShownSet[] {
  const total = framesOf(sets);
  let framesBefore = 0;
  return sets.map((set, i) => {
    const before = framesBefore;
    framesBefore += set.frames.length;
    const numberOf = (id: string): number =>
      before + set.frames.findIndex((frame) => frame.id === id) + 1;
    const shown = anonymous
      ? namelessSet(set, (id) => frameCode(numberOf(id), total), `Set ${i + 1}`)
      : set;
    return {
      set: shown,
      units: unitsOf(shown),
      framesBefore: before,
      severalSets: sets.length > 1,
      frames: new Map(),
      facts: new Map(),
    };
  });
}
