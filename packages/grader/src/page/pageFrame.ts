import type { FrameResult } from "../result.ts";
import type { FrameView } from "./frameView.ts";

/** A frame as a page tells it. */
export interface PageFrame {
  /** From 1, in the order of the run. */
  readonly number: number;
  /** The element that holds its card. */
  readonly id: string;
  /** Without the folder that all frames share; a code on an anonymous page. */
  readonly name: string;
  /** Below the shared folder; empty where it is that folder itself, and on an anonymous page. */
  readonly folder: string;
  readonly row: FrameResult;
  /** Null where nothing was decoded. */
  readonly view: FrameView | null;
  /** The page its card is on, where a report has several; empty on the same page. */
  readonly page: string;
}
