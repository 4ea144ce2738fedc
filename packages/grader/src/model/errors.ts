/** Stable reasons the grader refuses a request or cannot read a frame. */
export type GraderErrorCode =
  // the request is wrong: nothing is graded (exit code 2)
  | "bad-brief"
  | "bad-set"
  | "bad-class"
  | "bad-place"
  | "bad-region"
  | "bad-tolerance"
  | "bad-basis"
  | "bad-transfer"
  | "bad-option"
  | "no-frames"
  | "would-overwrite"
  | "bad-journal"
  | "bad-slip"
  // a kit file is wrong, or frames give no kit
  | "bad-kit"
  | "kit-mixed"
  | "kit-refused"
  // a source gives no linear light, or the frames of a bracket do not show one scene: nothing is made
  | "not-linear"
  | "bracket-refused"
  | "bad-lesson"
  // one frame cannot be read: its row has this failure, and the others are graded (exit code 3)
  | "no-such-file"
  | "is-a-folder"
  | "empty-file"
  | "not-a-picture"
  | "cannot-read"
  | "truncated"
  | "decode-failed"
  | "too-large"
  | "took-too-long"
  | "unsupported-format"
  | "unsupported-colour"
  | "raw-unsupported"
  | "raw-no-pixels"
  | "raw-truncated"
  | "raw-no-black-level"
  | "region-outside-frame"
  | "region-empty"
  | "no-subject-area"
  | "no-such-region"
  | "several-regions"
  | "region-unusable"
  | "bad-keyword"
  | "internal";

/** The grader cannot do what was asked; the message says what to do about it. */
export class GraderError extends Error {
  /** Always `"GraderError"`, so that a log names the class even when it is minified. */
  override readonly name: string = "GraderError";
  /** Stable code; branch on this, never on the message. */
  readonly code: GraderErrorCode;

  constructor(code: GraderErrorCode, message: string, options?: ErrorOptions) {
    super(message, options);
    this.code = code;
  }
}

/** The message for a file that is not a picture, wherever that shows. */
export const NOT_A_PICTURE =
  "The file is not a picture that Tonefall can read; give a JPEG, TIFF, PNG, WebP, AVIF, HEIC or raw file";
