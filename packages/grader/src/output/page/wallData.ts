import { frameData } from "./frameData.ts";
import { dataElement, type Markup } from "./markup.ts";
import type { FrameData } from "./pageData.ts";
import type { PageFrame } from "./pageFrame.ts";

/** A frame as the wall shows it. Its picture is the one on its card, or on its sheet. */
export interface WallFrame {
  /** What the page's address calls it: `3`, or `sheet-2.1` for a frame of a sheet. */
  readonly key: string;
  /** What a class calls it: `Frame 3`, with the region where one frame stands twice. */
  readonly label: string;
  readonly data: FrameData;
}

/** What a sheet, or a card with claims, shows on the wall. */
export interface OnWall {
  readonly label: string;
  /** With the row as it is to be judged there. */
  readonly frame: PageFrame;
}

/** Keys of what an element shows on the wall, in its order. */
export function wallKeys(id: string, count: number): readonly string[] {
  return Array.from({ length: count }, (_, i) => `${id}.${i + 1}`);
}

/** Frames for the wall that are judged otherwise than on their own cards, beside the element that shows them. */
export function wallDataElement(id: string, shown: readonly OnWall[]): Markup | null {
  if (shown.length === 0) return null;
  const keys = wallKeys(id, shown.length);
  const frames = shown.map(
    ({ label, frame }, i): WallFrame => ({ key: keys[i] as string, label, data: frameData(frame) }),
  );
  return dataElement(`${id}-wall`, frames, "wall-data");
}
