import type { ExifNoteCode } from "@tonefall/exif-reader";
import type { GraderErrorCode } from "./errors.ts";

/** Stable codes of notes and failures. */
export type NoteCode =
  | ExifNoteCode
  | GraderErrorCode
  | ShareNoteCode
  // why a frame could not be measured, where no error says so
  | "cannot-measure"
  | "not-measured"
  | "outside-folder"
  | "lfs-pointer"
  // the picture
  | "assumed-srgb"
  | "black-level-disagrees"
  | "black-level-measured"
  | "camera-matrix-missing"
  | "converted-to-srgb"
  | "decoded-with-warnings"
  | "first-page-only"
  | "gain-map-ignored"
  | "profile-not-used"
  | "profile-unreadable"
  | "quick-not-used"
  | "raw-demosaiced"
  | "raw-has-no-rendering"
  | "transfer-not-used"
  | "white-balance-assumed"
  | "white-level-from-data"
  // the brief
  | "from-slip"
  | "made-frame"
  | "brief-from-keywords"
  | "keyword-unknown"
  | "region-from-file"
  // the claim
  | "beyond-measured-curve"
  | "composite"
  | "custom-rendered"
  | "flash-fired"
  | "judged-by-median"
  | "kit-other-iso"
  | "kit-without-middle-grey"
  | "mean-and-median-apart"
  | "mixed"
  | "placement-above-white"
  | "scene-from-rendering"
  | "scene-light-is-bound"
  | "manual-without-reading"
  | "settings-by-brightness"
  | "settings-by-compensation"
  // the meter
  | "compensation-in-manual"
  | "mode-unknown"
  | "no-compensation"
  | "pattern-estimated"
  | "pattern-not-simulated"
  | "spot-place-unknown"
  // two frames compared
  | "bases-differ"
  | "not-one-series"
  | "on-the-shoulder"
  | "regions-differ"
  // a frame made from a capture
  | "bracket-moved"
  | "bracket-shifted"
  | "bracket-stray"
  | "bracket-unused"
  | "capture-censored"
  | "capture-clipped"
  | "capture-noise"
  | "capture-noise-strong"
  | "exposure-alone"
  // the next exposure, and what it costs
  | "camera-follows"
  | "curve-unknown"
  | "flash-light"
  | "too-far-to-tell"
  | "beyond-handheld-limit"
  | "flash-sync-unknown"
  | "handheld-limit-unknown"
  | "lens-range-unknown"
  | "less-depth-of-field"
  | "less-motion-blur"
  | "less-noise"
  | "more-depth-of-field"
  | "more-motion-blur"
  | "more-noise";

/** Something a reader of the result should know; the result stands, but is weaker or was reached another way. */
export interface Note<Code extends string = NoteCode> {
  /** Stable kebab-case code; branch on this, never on the message. */
  readonly code: Code;
  /** One plain sentence. */
  readonly message: string;
  /** The share that the sentence gives, in [0, 1]; left out where it gives none. */
  readonly share?: number;
}

/** A sentence from the text of a share, of one row or the range of several, and the least of them. */
type ShareSentence = (share: string, least: number) => string;

const SHARE_SENTENCES: Readonly<Record<ShareNoteCode, ShareSentence>> = {
  clipped: (share) => `${share} of the region is clipped, so its tone is at least this light.`,
  crushed: (share, least) =>
    `${share} of the region is black without detail${least > MOSTLY ? ", so its tone is at most this light" : ""}.`,
  transparent: (share) => `${share} of the region is transparent and was left out.`,
  "scale-ends-below-white": (share) =>
    `The file's tones end below full scale: ${share} of the picture shares its lightest code, far more than the tones of a scene would. Those pixels count as clipped.`,
};

/** Beyond this share the mean is a bound. */
const MOSTLY = 0.5;

/** Codes of notes that give a share. */
export type ShareNoteCode = "clipped" | "crushed" | "transparent" | "scale-ends-below-white";

/** A note that gives a share. */
export function shareNote(code: ShareNoteCode, share: number): Note {
  return { code, message: SHARE_SENTENCES[code](percent(share), share), share };
}

/**
 * One sentence for the notes of one code in several rows: a share as the range that they span, and a sentence that differs
 * otherwise as the first row's.
 */
export function sharedMessage(notes: readonly [Note, ...Note[]]): string {
  const [{ code, message }] = notes;
  const shares = notes.flatMap(({ share }) => (share === undefined ? [] : [share]));
  if (isShareNote(code) && shares.length === notes.length) {
    const [least, greatest] = [percent(Math.min(...shares)), percent(Math.max(...shares))];
    const range = least === greatest ? least : `${least.replace(/ %$/, "")} to ${greatest}`;
    return SHARE_SENTENCES[code](range, Math.min(...shares));
  }
  return notes.every((note) => note.message === message)
    ? message
    : `${message} (the first frame's)`;
}

function isShareNote(code: string): code is ShareNoteCode {
  return Object.hasOwn(SHARE_SENTENCES, code);
}

function percent(share: number): string {
  const value = 100 * share;
  return `${value < 1 ? value.toFixed(2) : value.toFixed(value < 10 ? 1 : 0)} %`;
}
