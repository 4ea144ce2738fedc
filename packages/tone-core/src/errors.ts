/** Stable machine-readable reasons a tone computation can fail. */
export type ToneErrorCode =
  | "TONE_OUT_OF_RANGE"
  | "TONE_EMPTY_INPUT"
  | "TONE_UNKNOWN_NAME"
  | "TONE_BAD_PLACEMENT"
  | "TONE_BAD_REGION"
  | "TONE_BAD_STOPS";

/** Thrown where a tone computation has no answer for its input. */
export class ToneError extends Error {
  /** Always `"ToneError"`, so that a log names the class even when it is minified. */
  override readonly name: string = "ToneError";
  /** Stable code; branch on this, never on the message. */
  readonly code: ToneErrorCode;

  constructor(code: ToneErrorCode, message: string, options?: ErrorOptions) {
    super(message, options);
    this.code = code;
  }
}
