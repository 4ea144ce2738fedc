import { shownText } from "@tonefall/tone-core";
import { madeFrameOf } from "../../../model/madeFrame.ts";
import type { FrameResult } from "../../../model/result.ts";
import { RAW_FORMATS } from "../../../picture/raw/rawFormats.ts";

/** What a student should know of a file before handing it in. */
export interface FileCheck {
  /** Stable, for tests and styles. */
  readonly code:
    | "unreadable"
    | "made"
    | "stripped"
    | "no-settings"
    | "resized"
    | "rewritten"
    | "twice";
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
  return [...checksOf(row), ...(seenBefore ? [TWICE] : [])];
}

const TWICE: FileCheck = {
  code: "twice",
  counts: false,
  text: "You have already chosen this file. Choose another frame.",
};

function checksOf(row: FrameResult): readonly FileCheck[] {
  const { exposure, notes } = row;
  const unread = unreadable(row);
  if (!exposure || unread?.counts === false) return unread ? [unread] : [];
  if (madeFrameOf(exposure)) return [MADE];
  const settings = notes.some(({ code }) => code === "no-metadata")
    ? [stripped(row)]
    : missingSettings(row);
  // A copy is not to be handed in all the same, whatever the page can measure of it.
  const isCopy = settings.some(({ counts }) => !counts);
  return [
    ...(unread ? [isCopy ? withoutHandingIn(unread) : unread] : []),
    ...settings,
    ...resized(row),
    ...rewritten(row),
  ];
}

const MADE: FileCheck = {
  code: "made",
  counts: false,
  text: "This frame was made by Tonefall from another capture, to teach with. Hand in a photograph that you exposed yourself.",
};

const VIDEO = /\.(?:mp4|m4v|mov|avi|mkv|webm|3gp|mts|m2ts|mpe?g)$/i;

/** What keeps the page from measuring a file; failures of the region or the brief are not the file's. */
function unreadable({ file, format, exposure, failure }: FrameResult): FileCheck | null {
  if (!failure) return null;
  const { code, message } = failure;
  const check = (counts: boolean, text = `${message}.`): FileCheck => ({
    code: "unreadable",
    counts,
    text,
  });
  if (format === "xmp") return check(false, SETTINGS_ALONE);
  if (code === "not-a-picture") return check(false, VIDEO.test(file) ? IS_VIDEO : NO_PICTURE);
  // The page cannot measure it; the teacher's command may, and what the camera recorded is read here all the same.
  if (code === "unsupported-colour") return check(true, `${OTHER_COLOUR} ${ALL_THE_SAME}`);
  if (code === "unsupported-format") return check(true, `${notMeasured(format)} ${ALL_THE_SAME}`);
  return !exposure || OF_THE_FILE.has(code) ? check(false) : null;
}

const SETTINGS_ALONE =
  "This file holds settings and no picture. Choose the picture that lies beside it.";
const IS_VIDEO = "This is a video. Choose a photograph.";
const NO_PICTURE =
  "The page does not know this kind of file. Choose the file that the camera wrote: JPEG, HEIC or raw.";
const OTHER_COLOUR =
  "This page cannot measure pictures in such colours, which are made for printing or by an editing program.";
const ALL_THE_SAME =
  "Hand in the file all the same, since your teacher's program may read it, or choose the JPEG from the camera.";

function notMeasured(format: FrameResult["format"]): string {
  return `This page cannot measure ${format?.toUpperCase() ?? "such"} files.`;
}

function withoutHandingIn(check: FileCheck): FileCheck {
  return { ...check, counts: false, text: check.text.replace(` ${ALL_THE_SAME}`, "") };
}

/** Failures of the file itself. */
const OF_THE_FILE: ReadonlySet<string> = new Set([
  "truncated",
  "decode-failed",
  "too-large",
  "raw-unsupported",
  "raw-no-pixels",
  "raw-truncated",
  "cannot-read",
  "empty-file",
]);

function stripped({ format }: FrameResult): FileCheck {
  const how =
    format === "png"
      ? "A screenshot or an export has nothing that the camera recorded."
      : "This file has lost everything that the camera recorded. That is what a messaging app or an export does: it makes a new, re-encoded copy.";
  return { code: "stripped", counts: false, text: `${how} ${ORIGINAL}` };
}

const SETTINGS = ["aperture", "shutter", "iso"] as const;

const NAMES = { aperture: "the aperture", shutter: "the shutter time", iso: "the ISO" } as const;

function missingSettings({ exposure, format }: FrameResult): FileCheck[] {
  const missing = SETTINGS.filter((setting) => exposure?.[setting].value === null);
  if (missing.length === 0) return [];
  const check = (counts: boolean, text: string): FileCheck[] => [
    { code: "no-settings", counts, text },
  ];
  if (missing.length < SETTINGS.length) {
    const names = missing.map((setting) => NAMES[setting]).join(" or ");
    return check(
      true,
      `The file does not record ${names}. With an old or adapted lens that is to be expected; otherwise hand in the original.`,
    );
  }
  // A raw file is an original, wherever it keeps its settings.
  if ((RAW_FORMATS as ReadonlySet<string>).has(format ?? "")) return check(true, HIDDEN_SETTINGS);
  return check(
    false,
    `This file does not say which aperture, shutter time and ISO the camera used. ${ORIGINAL}`,
  );
}

const HIDDEN_SETTINGS =
  "This raw file keeps its settings where the page does not find them. It counts; hand in the JPEG beside it too, if the camera made one.";

/** A picture smaller than the camera says it made is a copy. */
function resized({ exposure, picture, sensor }: FrameResult): FileCheck[] {
  const stated = Math.max(exposure?.pixelWidth.value ?? 0, exposure?.pixelHeight.value ?? 0);
  if (!picture || sensor || stated === 0) return [];
  const there = Math.max(picture.width, picture.height);
  if (there >= SAME_SIZE * stated) return [];
  const text = `The camera made a picture ${stated} pixels long, and this one has ${there}: it is a smaller, re-encoded copy. Its tones may be as they were, but ${ORIGINAL.charAt(0).toLowerCase()}${ORIGINAL.slice(1)}`;
  return [{ code: "resized", counts: true, text }];
}

/** Words that cameras' own firmware has in its name. */
const OF_CAMERAS = /^(?:ver|version|firmware|software|digital|camera|application)$/i;

/** Whoever wrote a file last may have been the camera, or a program that changed its tones: the student knows. */
function rewritten({ exposure }: FrameResult): FileCheck[] {
  const software = exposure?.software.value ?? "";
  const camera = `${exposure?.make.value} ${exposure?.model.value}`.toLowerCase();
  // Letters among digits are a version: the firmware of many phones has no other name.
  const words = software.split(/[\s()/_-]/).filter((word) => /^\p{L}{4,}$/u.test(word));
  if (words.every((word) => OF_CAMERAS.test(word) || camera.includes(word.toLowerCase())))
    return [];
  const text = `\u201c${shownText(software)}\u201d wrote this file. If that is a program for editing, its tones may no longer be those of your exposure: hand in the file as the camera wrote it.`;
  return [{ code: "rewritten", counts: true, text }];
}
