import type { Region } from "@tonefall/tone-core";
import type { FrameResult } from "../model/result.ts";
import type { Frame } from "../picture/frame.ts";

/** A frame whose pixels are in memory. */
export interface SeenFrame {
  /** The decoded picture. */
  readonly frame: Frame;
  /** Its row so far: measured, not yet judged. */
  readonly row: FrameResult;
  /** The row's region. */
  readonly region: Region;
  /** The picture file: a path, or bytes. */
  readonly input: string | Uint8Array;
}
