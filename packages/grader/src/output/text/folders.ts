import { sharedFolder } from "../../model/sharedFolder.ts";
import { safeText } from "../../model/words.ts";

/** How a table names its frames. */
export interface FrameNames {
  /** The folder that all frames share, its slash included; empty where there is none. */
  readonly shared: string;
  /** A frame's folder below the shared one, its slash included; the heading that it stands under. */
  readonly folder: (frame: { readonly file: string }) => string;
  /** A frame's name within its folder. */
  readonly inFolder: (frame: { readonly file: string }) => string;
  /** A frame's name below the shared folder. */
  readonly whole: (frame: { readonly file: string }) => string;
}

/** Names of frames for a table that groups them by folder. */
export function namesOf(frames: readonly { readonly file: string }[]): FrameNames {
  const shared = sharedFolder(frames.map(({ file }) => file));
  const below = ({ file }: { readonly file: string }): string => file.slice(shared.length);
  // A frame alone needs no heading.
  const cut = (name: string): number => (frames.length === 1 ? 0 : name.lastIndexOf("/") + 1);
  return {
    shared,
    folder: (frame) => safeText(below(frame).slice(0, cut(below(frame)))),
    inFolder: (frame) => safeText(below(frame).slice(cut(below(frame)))),
    whole: (frame) => safeText(below(frame)),
  };
}
