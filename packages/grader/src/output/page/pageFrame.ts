import type { FrameResult } from "../../model/result.ts";
import type { SmallPicture } from "./frameView.ts";

/** A frame as a page tells it, wherever it is spoken of. */
export interface PageFrame {
  /** From 1, in the order of the run. */
  readonly number: number;
  /** The element that holds its card. */
  readonly id: string;
  /** Without the folder that all frames share; a code on an anonymous page. */
  readonly name: string;
  /** Below the shared folder; empty where it is that folder itself, and on an anonymous page. */
  readonly folder: string;
  /** Without its histograms: those are drawn on its card and not kept. */
  readonly row: FrameResult;
  /** What the frame is there to show, in its maker's words. */
  readonly caption?: string | null;
  /** Null where no picture is shown. */
  readonly thumbnail: SmallPicture | null;
}
