import type { FrameResult } from "../../model/result.ts";
import type { SeenFrame } from "../../run/seenFrame.ts";
import type { FrameFacts } from "../../sets/frameFacts.ts";
import type { ReadyFrame } from "../../sets/readySet.ts";
import { type FrameView, frameView, type ViewSize } from "./frameView.ts";

/** Views of the tones of a check's frames, until the frame has been measured. */
export interface ToneViews {
  /** @param size - of the frame's one picture; its other tones have histograms of their own */
  look(frame: ReadyFrame, seen: SeenFrame, size: ViewSize | null): Promise<void>;
  /** A frame's views by the keys of its tones, once; of tones that show the same, the first has it. */
  take(frame: ReadyFrame, tones: FrameFacts["tones"]): ReadonlyMap<string, FrameView>;
}

/** Begins to gather views. */
export function toneViews(): ToneViews {
  const views = new Map<ReadyFrame, { readonly row: FrameResult; readonly view: FrameView }[]>();
  return {
    look: async (frame, seen, size) => {
      const before = views.get(frame) ?? [];
      const view = await frameView(seen, before.length === 0 ? size : null);
      views.set(frame, [...before, { row: seen.row, view }]);
    },
    take: (frame, tones) => {
      const taken = new Map<string, FrameView>();
      for (const { row, view } of views.get(frame) ?? []) {
        const key = keyOf(row, tones);
        if (key !== null && !taken.has(key)) taken.set(key, view);
      }
      views.delete(frame);
      return taken;
    },
  };
}

function keyOf({ region, basis }: FrameResult, tones: FrameFacts["tones"]): string | null {
  for (const [key, row] of tones) if (row.region === region && row.basis === basis) return key;
  return null;
}
