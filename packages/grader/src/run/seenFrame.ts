import type { Region } from "@tonefall/tone-core";
import type { Frame } from "../decode/frame.ts";
import type { FrameResult } from "../result.ts";

/** A frame while its pixels are at hand. */
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
