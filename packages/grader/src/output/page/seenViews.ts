import type { FrameResult } from "../../model/result.ts";
import type { SeenFrame } from "../../run/seenFrame.ts";
import { type FrameView, frameView, type ViewSize } from "./frameView.ts";

/** Views of frames that were looked at, until their rows come. */
export interface SeenViews {
  /** To be passed on to the grading run: it looks at every frame while its pixels are at hand. */
  readonly look: (seen: SeenFrame) => Promise<void>;
  /** The view of a row's frame, once; null where nothing was decoded. */
  take(row: FrameResult): FrameView | null;
}

/** @param size - null for views without pictures */
export function seenViews(size: ViewSize | null): SeenViews {
  const views = new Map<string, FrameView[]>();
  return {
    look: async (seen) => {
      const view = await frameView(seen, size);
      const key = keyOf(seen.row);
      views.set(key, [...(views.get(key) ?? []), view]);
    },
    take: (row) => {
      const key = keyOf(row);
      const [view = null, ...others] = views.get(key) ?? [];
      if (others.length > 0) views.set(key, others);
      else views.delete(key);
      return view;
    },
  };
}

/** One file may be graded on two regions. */
function keyOf({ file, region, basis }: FrameResult): string {
  return JSON.stringify([file, region, basis]);
}
