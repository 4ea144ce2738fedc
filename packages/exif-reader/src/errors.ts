/** Stable machine-readable reasons a file cannot give an exposure record. */
export type ExifErrorCode =
  | "EXIF_NO_SUCH_FILE"
  | "EXIF_IS_A_FOLDER"
  | "EXIF_EMPTY_FILE"
  | "EXIF_CANNOT_READ"
  | "EXIF_UNKNOWN_FORMAT";

/** A file could not be read at all. A picture without metadata is not an error: its record is all null. */
export class ExifError extends Error {
  /** Always `"ExifError"`, so that a log names the class even when it is minified. */
  override readonly name: string = "ExifError";
  /** Stable code; branch on this, never on the message. */
  readonly code: ExifErrorCode;

  constructor(code: ExifErrorCode, message: string, options?: ErrorOptions) {
    super(message, options);
    this.code = code;
  }
}
