import { ExifError, type ExifErrorCode } from "@tonefall/exif-reader";
import { ToneError } from "@tonefall/tone-core";
import { GraderError, type GraderErrorCode, NOT_A_PICTURE } from "../model/errors.ts";
import type { Note } from "../model/note.ts";

/**
 * The row's failure for an error that a frame caused.
 *
 * An error of no known type is our own fault: the row says so, and the run goes on.
 */
export function asFailure(error: unknown): Note {
  if (error instanceof GraderError) return { code: error.code, message: error.message };
  if (error instanceof ExifError) {
    return error.code === "EXIF_UNKNOWN_FORMAT"
      ? { code: "not-a-picture", message: NOT_A_PICTURE }
      : { code: EXIF_CODES[error.code], message: error.message };
  }
  if (error instanceof ToneError) return { code: "cannot-measure", message: error.message };
  const what = error instanceof Error ? error.message : String(error);
  return {
    code: "internal",
    message: `An error in Tonefall itself (${what}); please report it, with the file`,
  };
}

/** The reader's codes in the grader's form: one vocabulary of failures in results. */
const EXIF_CODES: Readonly<Record<ExifErrorCode, GraderErrorCode>> = {
  EXIF_NO_SUCH_FILE: "no-such-file",
  EXIF_IS_A_FOLDER: "is-a-folder",
  EXIF_EMPTY_FILE: "empty-file",
  EXIF_CANNOT_READ: "cannot-read",
  EXIF_UNKNOWN_FORMAT: "not-a-picture",
};
