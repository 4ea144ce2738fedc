import { madeFrameOf } from "../../../model/madeFrame.ts";
import type { FrameResult } from "../../../model/result.ts";

/** What a student should know of a file before handing it in. */
export interface FileCheck {
  /** Stable, for tests and styles. */
  readonly code: "unreadable" | "made" | "stripped" | "no-settings" | "resized" | "twice";
  readonly text: string;
  /** Whether the picture counts for the exercise as it is. */
  readonly counts: boolean;
}

const ORIGINAL =
  "Hand in the original: copy it from the camera or card, or on a phone choose the file itself (\u201cChoose File\u201d or \u201cBrowse\u201d), not a picture that a messaging app passed on.";

/** Sizes may differ by a row or two: cameras record what their sensor gives. */
const SAME_SIZE = 0.98;

/**
 * What stands in the way of handing in a file, kindly: nothing is refused, and what to do is said.
 *
 * @param seenBefore - whether the same file was chosen already
 */
export function fileChecks(row: FrameResult, seenBefore: boolean): readonly FileCheck[] {
  const twice: FileCheck[] = seenBefore
    ? [
        {
          code: "twice",
          counts: false,
          text: "You chose this very file before. Choose another frame.",
        },
      ]
    : [];
  const { exposure, failure, notes } = row;
  if (failure && !exposure) {
    return [{ code: "unreadable", counts: false, text: `${failure.message}.` }, ...twice];
  }
  if (failure && UNREADABLE.has(failure.code)) {
    return [{ code: "unreadable", counts: false, text: `${failure.message}.` }, ...twice];
  }
  if (!exposure) return twice;
  // The page has no decoder for it; the teacher's command does, and what the camera recorded is read here all the same.
  const unread: FileCheck[] =
    failure?.code === "unsupported-format"
      ? [{ code: "unreadable", counts: true, text: `${failure.message}.` }]
      : [];
  if (madeFrameOf(exposure)) {
    const text =
      "This frame was made by Tonefall from another capture, to teach with. Hand in a photograph that you exposed yourself.";
    return [{ code: "made", counts: false, text }, ...twice];
  }
  if (notes.some(({ code }) => code === "no-metadata")) {
    const text = `This file has lost everything that the camera recorded. That is what a messaging app or an export does: it makes a new, re-encoded copy. ${ORIGINAL}`;
    return [...unread, { code: "stripped", counts: false, text }, ...twice];
  }
  const missing = (["aperture", "shutter", "iso"] as const).filter(
    (setting) => exposure[setting].value === null,
  );
  const settings: FileCheck[] =
    missing.length > 0
      ? [
          {
            code: "no-settings",
            counts: missing.length < 3,
            text:
              missing.length === 3
                ? `This file does not say which aperture, shutter time and ISO the camera used. ${ORIGINAL}`
                : `The file does not record ${missing.map((setting) => NAMES[setting]).join(" or ")}. With an old or adapted lens that is to be expected; otherwise hand in the original.`,
          },
        ]
      : [];
  return [...unread, ...settings, ...resized(row), ...twice];
}

const NAMES = { aperture: "the aperture", shutter: "the shutter time", iso: "the ISO" } as const;

/** Failures of the file itself; others come of the region or the brief. */
const UNREADABLE: ReadonlySet<string> = new Set([
  "truncated",
  "decode-failed",
  "too-large",
  "unsupported-colour",
  "raw-unsupported",
  "raw-no-pixels",
  "raw-truncated",
  "cannot-read",
  "empty-file",
  "not-a-picture",
]);

/** A picture smaller than the camera says it made is a copy. */
function resized({ exposure, picture, sensor }: FrameResult): FileCheck[] {
  const stated = Math.max(exposure?.pixelWidth.value ?? 0, exposure?.pixelHeight.value ?? 0);
  if (!picture || sensor || stated === 0) return [];
  const there = Math.max(picture.width, picture.height);
  if (there >= SAME_SIZE * stated) return [];
  const text = `The camera made a picture ${stated} pixels long, and this one has ${there}: it is a smaller, re-encoded copy. Its tones may be as they were, but ${ORIGINAL.charAt(0).toLowerCase()}${ORIGINAL.slice(1)}`;
  return [{ code: "resized", counts: true, text }];
}
